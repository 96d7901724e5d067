/* SPDX-License-Identifier: MIT
 * Library: skipping. */
import { ask, counted, hits, lookFor, step, things, ways } from "./make.js";

const SAFE = ["Flat, dry ground with room all round.", "Shoes on and done up. Nothing to trip over.", "Move low and softly. Rest between tries.", "Stop if anything hurts, or if you feel dizzy or short of breath."];

export const skipping = [
    { key: "side-to-side", name: "Side to side", strand: "skipping", ...counted(30, 80, 150),
        summary: "Go from side to side over a string for 30 seconds. Count them.",
        set_up: "Lay a string flat on the floor. Start beside it. Use a timer.",
        scoring: "One try is 30 seconds. Count each time both feet have gone over. If you touch the string, go on. Rest for two minutes between tries.",
        versions: ways({ how: "Keep your feet together. Jump low over the string and back. Land softly with bent knees. Go for 30 seconds. Count your jumps.", lines: [25, 45] },
            { how: "You need no jumps. Step over with one foot, then the other, on a mat or rug. Both feet over is one. Go for 30 seconds.", lines: [18, 30] },
            { how: "Sit tall on a steady chair. Lay the string across a table. Tap both hands over it and back. Each time over is one. Go for 30 seconds.", lines: [20, 35] },
            "Use a line on the floor. Go for 30 seconds. Count your jumps."),
        cues: lookFor("Jumps with feet together", "Small, low jumps", "Soft knees on landing", "A steady beat"),
        questions: [ask("How should I land?", "Softly, with bent knees", "With straight legs", "On my heels"), ask("I tire half-way. What helps next time?", "A steady beat from the start", "A very fast start", "Bigger moves")],
        safety: SAFE, kit: things(["a string laid flat", "a sock"], ["a timer", "somebody who watches a clock"]),
        steps: step(["Stay near a wall that you can touch.", "Stay between two strings."], ["Step over.", "Jump forward and back."], ["Use a thin string.", "Lay two strings a hand apart."], ["A helper claps a slow beat.", "Go in time with a helper."]) },
    { key: "snake-rope", name: "Snake rope", strand: "skipping", ...hits(10),
        summary: "Get past a snake on the floor 10 times without a touch.",
        set_up: "A helper holds one end of a rope on the floor. The other end of the rope lies free. The helper wiggles the rope slowly. Room all round.",
        scoring: "Go 10 times. That is one try. Past it without a touch is a hit. Count your hits.",
        versions: ways({ how: "Watch the rope for a moment. Jump low over it with two feet. Land softly. Wait until it is still low. Jump 10 times.", lines: [6, 9] },
            { how: "You need no jumps. Step over the rope on a rug. One foot, then the other, without a sound. Go over 10 times.", lines: [7, 9] },
            { how: "Sit tall on a steady chair. The rope wiggles on the floor in front of you. Clap just as it passes your line. A clap in time is a hit. Go 10 times.", lines: [6, 9] },
            "You need no rope. Lay a string in curves. Jump low over each curve, 10 in all."),
        cues: lookFor("Eyes on the rope", "Waits, then goes", "Soft knees on landing"),
        questions: [ask("When is the best time to go?", "When the rope is low and still", "When it is high", "With my eyes shut"), ask("What should the helper do?", "Wiggle slowly and keep it on the floor", "Pull it up", "Swing it fast")],
        safety: ["The snake stays on the floor. Let go if somebody treads on it.", "Shoes on and done up. Room all round.", "Move low and softly. Rest between tries.", "Stop if anything hurts, or if you feel dizzy or short of breath."],
        kit: things(["a rope", "a string, a scarf or a belt"]),
        steps: step(["A short, slow snake.", "A longer snake."], ["Step over it.", "Turn round each time."], ["Use a thick, bright rope.", "Use two ropes."], ["A helper says now.", "Take turns with the rope."]) }
];
