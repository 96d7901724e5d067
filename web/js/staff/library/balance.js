/* SPDX-License-Identifier: MIT
 * Library: balance. */
import { ask, hits, lookFor, step, things, timed, ways } from "./make.js";

const SAFE = ["Stay within reach of a wall or a steady chair.", "Flat, dry floor. No socks.", "Keep away from stairs and sharp corners.", "Rest when you tire. Stop if anything hurts."];
const MINUTE = { hard_low: 100, hard_high: 60000, soft_low: 500 };

export const balance = [
    { key: "tightrope-stand", name: "Tightrope stand", strand: "balance", ...timed(MINUTE),
        summary: "Balance along a line like an acrobat. How long can you stay still?",
        set_up: "Lay a string on a flat floor near a wall. Ask somebody to time you.",
        scoring: "Time starts when both feet are on the string, heel to toe. It stops when a foot moves or a hand touches something. Stop at 60 seconds.",
        versions: ways({ how: "Put the heel of one foot against the toes of the other. Hold your arms out. Look at one spot. Breathe. Keep the same foot in front for all three tries.", lines: [15000, 35000] },
            { how: "Take your shoes off and stand on a carpet. Heel to toe. Make no sound. Keep the same foot in front.", lines: [15000, 35000] },
            { how: "Sit tall near the front of a steady chair. Lift your arms to the side. Lean a little to one side and hold. Time starts as you lean. It stops when a hand touches the chair.", target: 20000 },
            "Use a line on the floor. A helper counts slow seconds: one little rope, two little ropes. Send the number as seconds."),
        cues: lookFor("Eyes on one spot", "Arms out and still", "Back tall", "Knees soft"),
        questions: [ask("What helps me to balance?", "Looking at one spot", "Looking at the ceiling", "Holding my breath"), ask("How can I make it harder, safely?", "Folding my arms", "Climbing on a chair", "Being pushed")],
        safety: SAFE, kit: things(["a string", "a line on the floor"], ["a timer", "somebody who counts slow seconds"]),
        steps: step(["Touch the wall with one finger.", "Stand an arm's length from the wall."], ["Leave a gap between your feet.", "Turn your head slowly from side to side."], ["Stand on a wide strip of carpet.", "Stand on a folded towel."], ["Hold a helper's hand to start.", "Pass a sock to a helper and back."]) },
    { key: "star-on-all-fours", name: "Star on all fours", strand: "balance", ...timed(MINUTE),
        summary: "Stretch out like a star. How long can you stay still?",
        set_up: "Choose a mat or carpet with room in front and behind. Ask somebody to time you.",
        scoring: "Time starts when a hand and the other foot have left the floor. It stops when a hand or foot comes down. Stop at 60 seconds.",
        versions: ways({ how: "Kneel with your hands under your shoulders. Stretch one arm forward and the other leg back. Keep your back flat like a table. Look at the floor. Breathe.", lines: [10000, 25000] },
            { how: "Kneel on a thick rug, your hands under your shoulders. Stretch one arm forward and the other leg back. Breathe so softly that nobody can hear it.", lines: [10000, 25000] },
            { how: "Sit tall near the front of a steady chair. Stretch one arm forward and the other arm back. Keep your back off the chair. Time starts when both arms are out. It stops when an arm drops.", lines: [10000, 25000] },
            "Kneel with your hands under your shoulders. Stretch one arm forward and the other leg back. A helper counts slow seconds. Send the number as seconds."),
        cues: lookFor("Back long and still", "Tummy firm", "Arm and leg long", "Eyes on one spot"),
        questions: [ask("My back sinks. What helps?", "Making my tummy firm", "Lifting everything higher", "Holding my breath"), ask("Which arm goes with my left leg?", "The right arm", "The left arm", "Both arms")],
        safety: ["Choose a soft place.", "Room in front and behind you.", "Do not do it if a wrist or a knee is sore.", "Rest when you tire. Stop if anything hurts."],
        kit: things(["a mat", "a rug or a folded towel"], ["a timer", "somebody who counts slow seconds"]),
        steps: step(["Do it beside a wall that you can touch.", "Do it along a narrow strip."], ["Lift the leg only.", "Draw a small circle with your hand."], ["Put a cushion under your knee.", "Kneel with a sock on your back: it must stay."], ["A helper steadies your hips.", "Give a helper's hand a slow shake."]) },
    { key: "one-foot-tidy", name: "One-foot tidy", strand: "balance", ...hits(6),
        summary: "Balance and put six socks into a box. How many can you move and stay steady?",
        set_up: "Put six balls of socks on a chair beside you. Put a box on another chair. Stand near a wall.",
        scoring: "One try is six socks. Lift one foot. Move one sock to the box. Put the foot down. If your foot stayed up, it is a hit. Count your hits.",
        versions: ways({ how: "Stand tall on one leg. Bend the standing knee a little. Reach for one sock. Put it in the box. Then rest your foot. Do it six times on the same leg.", lines: [3, 5] },
            { how: "Put each sock down without a sound. Do it six times on the same leg.", lines: [3, 5] },
            { how: "Sit tall near the front of a steady chair. Keep one hand on your hip. Move one sock from one side to the other. If your back stayed tall, it is a hit. Do it six times.", lines: [4, 6] },
            "Use six scraps of paper. Move them from one shelf to another that you can reach. Do it six times."),
        cues: lookFor("Standing knee soft", "Eyes on one spot first", "Slow arm, still body"),
        questions: [ask("What makes me wobble?", "Reaching fast", "Breathing", "A soft knee"), ask("Where is the best place for the box?", "Near, at the height of my hand", "Far behind me", "High above my head")],
        safety: SAFE, kit: things(["six beanbags", "six balls of socks"], ["a box", "a bowl"], ["two chairs", "two low shelves"]),
        steps: step(["Put the box closer.", "Put the box one hand further away."], ["Rest your toes on the floor.", "Change hands each time."], ["Use bigger things.", "Use coins of paper."], ["A helper hands you each sock.", "A helper holds the box and moves it a little."]) }
];
