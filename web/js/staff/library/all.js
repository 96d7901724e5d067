/* SPDX-License-Identifier: MIT
 * The whole library beyond the six activities that a new school is given, by strand. */
import { target } from "./target.js";
import { striking } from "./striking.js";
import { catching } from "./catching.js";
import { balance } from "./balance.js";
import { travelling } from "./travelling.js";
import { skipping } from "./skipping.js";
import { dance } from "./dance.js";

export const LIBRARY = [target, striking, catching, balance, travelling, skipping, dance].reduce((all, some) => all.concat(some), []);
