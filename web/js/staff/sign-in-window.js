/* SPDX-License-Identifier: MIT
 * What a child's page asks a teacher for when typed cards are stopped: the class's cards go on for 20
 * minutes. */

import { post } from "../api.js";
import { action, notice } from "./shell.js";

const OPEN_MS = 20 * 60 * 1000;

export function openSignIn(classId) {
    return action("Open sign-in for the class", async () => {
        await post("/classes/" + encodeURIComponent(classId) + "/sign-in-window");
        const until = new Date(Date.now() + OPEN_MS).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
        notice("Sign-in is open for 20 minutes, until " + until + ": this class can type its cards again, at school and at home.");
    }, { class: "button-second" });
}
