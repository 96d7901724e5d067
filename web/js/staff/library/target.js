/* SPDX-License-Identifier: MIT
 * Library: target games. */
import { ask, hits, lookFor, step, things, ways, zones } from "./make.js";

const SAFE = ["Clear the way. Nobody stands near the target.", "Toss soft things only, and underarm.", "No socks on a shiny floor.", "Stop if anything hurts."];

export const target = [
    { key: "roll-home", name: "Roll home", strand: "target", ...zones(6, [["stops in the house", 3], ["stops in the garden", 2], ["miss", 0]]), distances_mm: [2000, 2500, 3000, 3500], reference_mm: 2500,
        targets: [{ name: "a bath towel", size_mm: 700 }, { name: "a small blanket, folded", size_mm: 700 }, { name: "four sheets of newspaper", size_mm: 750 }],
        summary: "Roll a soft ball so that it stops at home. Add up your points.",
        set_up: "Lay a towel flat: that is the garden. Lay a sheet of paper in its middle: that is the house. Mark your line with a sock, 2 and a half metres away.",
        scoring: "Roll 6 times. That is one try. In the house is 3 points. In the garden is 2 points. Anything else is 0. It counts where it stops.",
        versions: ways({ how: "Bend your knees and get low. Look at the house. Swing your arm back and roll the ball softly. Roll 6 times. Add up your points.", lines: [7, 12] },
            "Kneel on a rug. Roll a ball of socks. It makes no sound. Roll 6 times.",
            { how: "Sit tall on a steady chair or on the floor. Look at the house. Let your arm hang and roll the ball softly. From a chair you may use a tray as a ramp. Roll 6 times. A helper may roll it back.", lines: [7, 12] },
            "Make a ball of paper. Four sheets of newspaper are the towel. Roll 6 times."),
        cues: lookFor("Gets low", "Eyes on the house", "Arm swings back and through", "Lets go close to the floor"),
        questions: [ask("My ball rolls past the house. What should I change?", "Swing my arm less far back", "Look away", "Close my eyes"), ask("How can I make it harder, fairly?", "Move a little further back", "Roll as fast as I can", "Count a miss as a hit")],
        safety: ["Clear the way. Nobody stands near the target.", "Roll soft things only, along the floor.", "No socks on a shiny floor.", "Stop if anything hurts."],
        kit: things(["a soft ball", "a ball of socks"], ["a towel", "a small blanket or newspaper"]),
        steps: step(["Roll from closer.", "Go a little further away."], ["All of the towel is 3 points.", "Use your other hand."], ["Use a bigger towel.", "Fold the paper in half."], ["A helper points at the house.", "Take turns and call house or garden first."]) },
    { key: "towel-pond", name: "Towel pond", strand: "target", ...zones(4, [["far towel", 3], ["middle towel", 2], ["near towel", 1], ["miss", 0]]),
        targets: [{ name: "three hand towels", size_mm: 500 }, { name: "three sheets of newspaper", size_mm: 550 }],
        summary: "Toss a beanbag onto three towels in a row. The far one is worth most.",
        set_up: "Lay three towels in a row, half a metre apart. The near one is half a metre from your line. Mark the line with a sock.",
        scoring: "Toss 4 times. That is one try. The far towel is 3 points. The middle one is 2. The near one is 1. It counts where it stops.",
        versions: ways({ how: "Choose a towel before each toss. Look at it. Swing your arm under and let go softly. Toss 4 times. Add up your points.", lines: [5, 9] },
            "Use a folded cloth on a rug or carpet. Toss it low and softly. Toss 4 times.",
            { how: "Sit tall on a steady chair or on the floor behind your line. Choose a towel and look at it. Toss underarm 4 times. A helper may bring it back.", lines: [4, 8] },
            "Use a ball of paper. Use three sheets of paper as towels. Toss 4 times."),
        cues: lookFor("Looks at one towel first", "Smooth swing under", "Soft hand at the end"),
        questions: [ask("Which towel should I aim at first?", "One that I can reach often", "Always the far one", "None of them"), ask("My toss always falls short. What helps?", "A longer, smoother swing", "Looking away", "Tossing with my eyes shut")],
        safety: SAFE, kit: things(["a beanbag", "a ball of socks"], ["three mats", "three towels"]),
        steps: step(["Put the towels closer together.", "Put them a little further away."], ["Aim at the near towel only.", "Call the towel before you toss."], ["Use bigger towels.", "Fold the towels in half."], ["A helper says which towel.", "Take turns: nobody may hit the same towel twice running."]) },
    { key: "cushion-toss", name: "Cushion toss", strand: "target", ...hits(10), distances_mm: [1500, 2000, 2500, 3000], reference_mm: 2000,
        targets: [{ name: "a sofa cushion on the floor", size_mm: 500 }, { name: "a pillow", size_mm: 600 }],
        summary: "Toss a beanbag so that it stays on a cushion. Ten tosses make one try.",
        set_up: "Put a cushion flat on the floor. Mark a line with a sock, 2 metres away.",
        scoring: "Toss 10 times. That is one try. It must stay on the cushion to be a hit. If it slides off, it is a miss. Count your hits.",
        versions: ways({ how: "Stand behind your line. Look at the middle of the cushion. Toss high and softly, so that it drops and stays. Toss 10 times.", lines: [4, 7] },
            "Use a folded cloth. Kneel on a rug. Toss it low and softly. Toss 10 times.",
            { how: "Sit tall on a steady chair or on the floor. Look at the middle. Toss underarm, high and softly. Toss 10 times. A helper may bring it back.", lines: [4, 7] },
            "Use a ball of paper and a folded coat as the cushion. Toss 10 times."),
        cues: lookFor("Eyes on the middle", "High and soft, not flat", "Hand ends pointing up and out"),
        questions: [ask("It bounces off the cushion. What should I change?", "Toss it softer and higher", "Toss it flatter", "Toss it faster"), ask("Where should I look?", "At the middle of the cushion", "At my hand", "At the window")],
        safety: SAFE, kit: things(["a beanbag", "a folded cloth or a ball of socks"], ["a cushion", "a pillow or a folded coat"]),
        steps: step(["Move closer.", "Move a little further back."], ["Sliding off still counts.", "Use your other hand."], ["Use a bigger pillow.", "Fold the cushion in half."], ["A helper shows where it fell.", "Take turns; each tosses after the other's hit."]) }
];
