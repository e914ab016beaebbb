// The page's script as far as rigs go: the form, and the bar that keeps rigs.
import { CalcForm } from "./element.js";
import { connectRigs } from "./rigs.js";

start(CalcForm, connectRigs);
