// @ts-check
/** The script of every page that keeps nothing: its calculators, and the site itself kept for later. */
import { start } from "./start.js";

start();
