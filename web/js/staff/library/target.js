/* SPDX-License-Identifier: MIT
 * Library: target games. */
import { ask, hits, lookFor, step, things, ways, zones } from "./make.js";

const SAFE = ["Clear the way. Nobody stands near the target.", "Toss soft things only, and underarm.", "Shoes or bare feet. No socks on a shiny floor.", "Stop if anything hurts."];

export const target = [
    { key: "laundry-lob", name: "Laundry lob", strand: "target", ...zones(5, [["in the basket", 4], ["touches it", 1], ["miss", 0]]), distances_mm: [1500, 2000, 2500, 3000], reference_mm: 2000,
        targets: [{ name: "a laundry basket", size_mm: 400 }, { name: "a washing-up bowl", size_mm: 350 }, { name: "a small box", size_mm: 300 }],
        summary: "Toss balls of socks into a basket. Add up your points.",
        set_up: "Put the basket on the floor by a wall. Mark a line with a sock. It is 2 big steps away. Put five balls of socks beside you.",
        scoring: "Toss 5 times. That is one try. In the basket is 4 points. Touching it is 1 point. Anything else is 0.",
        versions: ways({ how: "Put one foot forward. Look at the basket. Swing your arm under and let go softly. Toss 5 times. Add up your points.", lines: [6, 12] },
            "Put a cushion in the basket. Toss folded cloths. They land without a sound. Toss 5 times.",
            { how: "Sit tall on a steady chair or on the floor. Keep your feet or wheels still. Look at the basket. Toss underarm 5 times. A helper may bring the socks back.", lines: [6, 12] },
            "Scrunch five sheets of paper. Use a mat as the basket. On it is 4 points. Toss 5 times."),
        cues: lookFor("Eyes on the basket", "One foot forward", "Arm swings under and straight", "Hand ends pointing at the basket"),
        questions: [ask("My socks fly over the basket. What should I change?", "Let go a little earlier", "Close my eyes", "Stand on a chair"), ask("How can I make it harder, fairly?", "Take one step back", "Toss as hard as I can", "Count a miss as a hit")],
        safety: SAFE, kit: things(["five beanbags", "five balls of socks"], ["a basket", "a box or a bowl"]),
        steps: step(["Step closer.", "Take one step back."], ["Touching the basket is 4 points too.", "Use your other hand."], ["Use a bigger basket.", "Use a small bowl."], ["A helper points at the basket.", "Take turns and call high or low first."]) },
    { key: "towel-pond", name: "Towel pond", strand: "target", ...zones(4, [["far towel", 3], ["middle towel", 2], ["near towel", 1], ["miss", 0]]),
        targets: [{ name: "three hand towels", size_mm: 500 }, { name: "three sheets of newspaper", size_mm: 550 }],
        summary: "Toss a beanbag onto three towels in a row. The far one is worth most.",
        set_up: "Lay three towels in a row, one big step apart. The near one is one big step from your line. Mark the line with a sock.",
        scoring: "Toss 4 times. That is one try. The far towel is 3 points. The middle one is 2. The near one is 1. It counts where it stops.",
        versions: ways({ how: "Choose a towel before each toss. Look at it. Swing your arm under and let go softly. Toss 4 times. Add up your points.", lines: [5, 9] },
            "Use a folded cloth on a rug or carpet. Toss it low and softly. Toss 4 times.",
            { how: "Sit tall on a steady chair or on the floor behind your line. Choose a towel and look at it. Toss underarm 4 times. A helper may bring it back.", lines: [4, 8] },
            "Use a ball of paper. Use three sheets of paper as towels. Toss 4 times."),
        cues: lookFor("Looks at one towel first", "Smooth swing under", "Soft hand at the end"),
        questions: [ask("Which towel should I aim at first?", "One that I can reach often", "Always the far one", "None of them"), ask("My toss always falls short. What helps?", "A longer, smoother swing", "Looking at my feet", "Tossing with both feet off the floor")],
        safety: SAFE, kit: things(["a beanbag", "a ball of socks"], ["three mats", "three towels"]),
        steps: step(["Put the towels closer together.", "Put them half a step further away."], ["Aim at the near towel only.", "Call the towel before you toss."], ["Use bigger towels.", "Fold the towels in half."], ["A helper says which towel.", "Take turns: nobody may hit the same towel twice running."]) },
    { key: "cushion-toss", name: "Cushion toss", strand: "target", ...hits(10), distances_mm: [1500, 2000, 2500, 3000], reference_mm: 2000,
        targets: [{ name: "a sofa cushion on the floor", size_mm: 500 }, { name: "a pillow", size_mm: 600 }],
        summary: "Toss a beanbag so that it stays on a cushion. Ten tosses make one try.",
        set_up: "Put a cushion flat on the floor. Mark a line with a sock, 2 big steps away.",
        scoring: "Toss 10 times. That is one try. It must stay on the cushion to be a hit. If it slides off, it is a miss. Count your hits.",
        versions: ways({ how: "Stand behind your line. Look at the middle of the cushion. Toss high and softly, so that it drops and stays. Toss 10 times.", lines: [4, 7] },
            "Use a folded cloth. Kneel on a rug. Toss it low and softly. Toss 10 times.",
            { how: "Sit tall on a steady chair or on the floor. Look at the middle. Toss underarm, high and softly. Toss 10 times. A helper may bring it back.", lines: [4, 7] },
            "Use a ball of paper and a folded coat as the cushion. Toss 10 times."),
        cues: lookFor("Eyes on the middle", "High and soft, not flat", "Hand ends pointing up and out"),
        questions: [ask("It bounces off the cushion. What should I change?", "Toss it softer and higher", "Toss it flatter", "Toss it faster"), ask("Where should I look?", "At the middle of the cushion", "At my hand", "At the window")],
        safety: SAFE, kit: things(["a beanbag", "a folded cloth or a ball of socks"], ["a cushion", "a pillow or a folded coat"]),
        steps: step(["Step closer.", "Take half a step back."], ["Sliding off still counts.", "Use your other hand."], ["Use a bigger pillow.", "Fold the cushion in half."], ["A helper shows where it fell.", "Take turns; each tosses after the other's hit."]) }
];
