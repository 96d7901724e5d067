/* SPDX-License-Identifier: MIT
 * Everything behind the card: fetched after it, so that the first page is soon there. */

import { arrived } from "./screens.js";
import "./today.js";
import "./way.js";
import "./warm.js";
import "./trying.js";
import "./think.js";
import "./tell.js";

arrived();
