/* SPDX-License-Identifier: MIT
 * Everything behind the card: fetched at its first letter, so that the first page is soon there. */

import { moreWords } from "../msg.js";
import { hooks } from "./door.js";
import { begin } from "./start.js";
import "./today.js";
import "./way.js";
import "./warm.js";
import "./trying.js";
import "./think.js";
import "./tell.js";

hooks.ready = moreWords("child").then(begin);
