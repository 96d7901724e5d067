/* SPDX-License-Identifier: MIT
 * Library: travelling. */
import { ask, counted, lookFor, step, things, timed, ways } from "./make.js";

const SAFE = ["Clear the way. No toys, bags or wires.", "Shoes on and done up, or none. No socks on a shiny floor.", "Keep away from stairs, doors and hot things.", "Stop if anything hurts or you feel dizzy."];

export const travelling = [
    { key: "side-step-lines", name: "Side-step lines", strand: "travelling", ...counted(20, 40, 80),
        summary: "Move sideways from line to line for 20 seconds. Count the lines.",
        set_up: "Lay two strings on the floor, just over 1 metre apart. Start between them. Use a timer.",
        scoring: "One try is 20 seconds. Count each time a foot touches a line. Rest between tries.",
        versions: ways({ how: "Bend your knees a little. Step to the side, then bring your feet together. Never cross your feet. Touch the line and go back. Go for 20 seconds.", lines: [8, 13] },
            { how: "Step sideways from line to line, so softly that nobody can hear you. Go for 20 seconds.", lines: [7, 12] },
            { how: "Sit tall on a steady chair. Put a sock on each side, within reach. Tap one with your hand, then the other. Count each tap. In a wheelchair you may wheel to the lines. Go for 20 seconds.", lines: [10, 18] },
            "Use two marks on the floor. Step sideways from one to the other. Go for 20 seconds."),
        cues: lookFor("Knees bent, body low", "Feet never cross", "Head up", "Quiet feet"),
        questions: [ask("Why do my feet never cross?", "So that I do not trip", "To look good", "To be louder"), ask("How can I turn sooner?", "Slowing a little before the line", "Leaning back", "Looking at the sky")],
        safety: SAFE, kit: things(["two lines", "two strings or socks"], ["a timer", "somebody who watches a clock"]),
        steps: step(["Put the lines closer.", "Put them a little further apart."], ["Walk sideways.", "Touch the line with your hand."], ["Use thick lines that you can see well.", "Carry a sock on your open hand."], ["A helper calls the beat.", "Face a helper and move like a mirror."]) },
    { key: "waiter-zigzag", name: "Waiter's zigzag", strand: "travelling", ...timed({ lower_is_better: true, hard_low: 4000, hard_high: 180000, soft_low: 8000, soft_high: 90000 }),
        summary: "Carry a sock on a plate through a zigzag trail. How smoothly can you go?",
        set_up: "Put five shoes in a row, just over half a metre apart. Start just before the first. Ask somebody to time you.",
        scoring: "Time starts when you set off. It stops when you are back at the start. Go round each shoe. If the sock falls, put it back and go on. Less time is better.",
        versions: ways({ how: "Lay the plate on your flat hand. Put the sock on it. Walk in and out of the shoes, round the last one, and back. One foot is always on the floor: no running.", lines: [30000, 20000] },
            "Walk heel to toe so that nobody can hear you. No running.",
            { how: "In a wheelchair, wheel the trail with the plate on your lap. On a chair, pass the plate round your body five times each way. Time stops at the last one.", lines: [30000, 20000] },
            "Carry a sheet of paper on your flat hand. Use five marks on the floor. No running."),
        cues: lookFor("Head up on the way", "Flat, still hand", "Small steps to turn"),
        questions: [ask("How can I save time and stay smooth?", "Small, smooth turns", "Holding the sock on", "Missing a shoe out"), ask("Where should I look?", "At the next shoe", "Only at the plate", "Behind me")],
        safety: SAFE, kit: things(["a paper plate", "a thin book"], ["a beanbag", "a ball of socks"], ["five markers", "five shoes"], ["a timer", "a clock with a second hand"]),
        steps: step(["Put the shoes further apart.", "Put them closer together."], ["Hold the plate with two hands.", "Change hands at each shoe."], ["Use a bowl.", "Use a flat spoon."], ["A helper goes in front.", "Share the trail: hand the plate to a helper half-way."]) }
];
