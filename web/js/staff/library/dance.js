/* SPDX-License-Identifier: MIT
 * Library: dance-like. What counts is keeping time and being still, never how it looks. */
import { ask, hits, lookFor, step, things, ways } from "./make.js";

const SAFE = ["Clear a space as wide as your arms on every side.", "No socks on a shiny floor.", "Turn slowly. Stop if you feel dizzy.", "Stop if anything hurts."];

export const dance = [
    { key: "eight-count-shapes", name: "Eight-count shapes", strand: "dance", ...hits(8),
        summary: "Move for seven counts and hold a still shape on eight. How many shapes of 8?",
        set_up: "Clear a space. Somebody counts slowly to eight, or play a slow song.",
        scoring: "One try is eight shapes. Still for the whole count of eight is a hit. A wobble is a miss. Count your hits.",
        versions: ways({ how: "Move in any way you like for seven counts: high, low, round. Freeze on eight. Hold still until the next one. Make a new shape each time. Do it 8 times.", lines: [5, 7] },
            { how: "Move without a sound, slowly. Freeze on eight. Do it 8 times.", lines: [5, 7] },
            { how: "Sit tall. Move your arms, head and shoulders for seven counts. Freeze on eight. Do it 8 times.", lines: [5, 7] },
            "You need nothing but a count. Move for seven counts and freeze on eight. Do it 8 times."),
        cues: lookFor("Keeps the beat", "Freezes on eight", "Still, also the eyes", "A new shape each time"),
        questions: [ask("What helps me to freeze?", "Slow breath and a firm tummy", "Shaking on eight", "Looking all round"), ask("How can I show a new shape?", "Change high and low", "Do the same again", "Move on eight")],
        safety: SAFE, kit: things(["slow music", "somebody who counts"]),
        steps: step(["Stay on one spot.", "Go round the space in slow steps."], ["Freeze with both feet down.", "Freeze on one foot."], ["Hold a chair for the shape.", "Hold a scarf that must stop moving too."], ["A helper counts out loud.", "Make one shape together."]) },
    { key: "slow-mirror", name: "Slow mirror", strand: "dance", ...hits(10),
        summary: "A helper makes ten slow shapes. Move with them like a mirror. How many can you match?",
        set_up: "Be face to face, just over 1 metre apart. The helper moves slowly, one shape at a time.",
        scoring: "One try is ten shapes. If you arrive together and stay still, it is a hit. Count your hits.",
        versions: ways({ how: "Look at your helper's eyes. Move as they move, at the same time. Stay still at the end of each shape. Do it 10 times. Then change places.", lines: [6, 9] },
            { how: "No sound at all, not even your feet. Do it 10 times.", lines: [6, 9] },
            { how: "Sit face to face. Use arms, head and shoulders. Do it 10 times.", lines: [6, 9] },
            "Alone? Stand by a window or a mirror. Make ten shapes. Hold each for a slow three."),
        cues: lookFor("Looks up", "Starts and stops together", "Smooth, not sudden", "Uses high and low"),
        questions: [ask("If my helper lifts the left arm, what do I lift?", "The arm on the same side as I see it", "My chin", "Nothing"), ask("What makes it easy to follow?", "Slow, smooth moves", "Sudden moves", "Turning away")],
        safety: SAFE, kit: things(["a helper", "a mirror or a window"]),
        steps: step(["Be closer together.", "Be further apart."], ["Arms only.", "Use arms and feet."], ["Both hold one scarf.", "Both carry a sock on the hand."], ["The helper says the shape first.", "Nobody leads: move together."]) },
    { key: "stamp-clap-turn", name: "Stamp, clap, turn", strand: "dance", ...hits(8),
        summary: "Two beats, a clap and a turn, all in time. Do it eight times. How many come out right?",
        set_up: "Clear a space. Somebody claps a slow, steady beat of four.",
        scoring: "One try is eight rounds of four. Every part on its beat is a hit. Count your hits.",
        versions: ways({ how: "One: stamp. Two: stamp. Three: clap. Four: a quarter turn. Start the next round at once. Go slowly. Do it 8 times.", lines: [4, 7] },
            { how: "You need no stamps: tap your toes. Touch your hands in place of the clap. Do it 8 times.", lines: [4, 7] },
            { how: "Sit tall. Pat your lap twice, clap once, and look to the other side. Do it 8 times.", lines: [4, 7] },
            "Say the beat yourself: stamp, stamp, clap, turn. Do it 8 times."),
        cues: lookFor("On the beat", "Small, soft stamps", "Head up in the turn"),
        questions: [ask("I lose the beat. What helps?", "Counting out loud", "Going faster", "Missing the turn out"), ask("What is a quarter turn?", "From one wall to the next", "All the way round", "No turn at all")],
        safety: SAFE, kit: things(["a steady beat", "somebody who claps or a clock that ticks"]),
        steps: step(["Stay on one spot.", "Travel one step with each stamp."], ["Leave out the turn.", "Turn the other way each time."], ["Use a slow song.", "Hold a scarf and swing it on four."], ["A helper does it with you.", "Do it back to back with a helper."]) }
];
