// @ts-check
/** The script of the pages that keep what is entered, rigs, measurements and quotes, in place of the other. */
import { connectProve } from "./prove.js";
import { connectQuote } from "./quotes.js";
import { connectRigPage } from "./rig.js";
import { connectRigs } from "./rigs.js";
import { start } from "./start.js";

start(connectRigs, connectRigPage, connectProve, connectQuote);
