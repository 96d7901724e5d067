/* SPDX-License-Identifier: MIT
 * Library: catching. */
import { ask, counted, hits, lookFor, step, things, ways } from "./make.js";

const SAFE = ["Look up and all round. No lamps or windows near.", "Soft ball only. Throw it no higher than you can reach.", "No socks on a shiny floor.", "Stop if anything hurts."];

export const catching = [
    { key: "clap-and-catch", name: "Clap and catch", strand: "catching", ...hits(10),
        summary: "Throw a soft ball up, clap once and catch it. How many of 10?",
        set_up: "Find a clear space. Hold the ball in two hands.",
        scoring: "Throw 10 times. That is one try. Clap once and catch it before it falls: that is a hit. A drop is a miss. Count your hits.",
        versions: ways({ how: "Throw the ball a little above your head. Clap once in front of you. Make your hands ready like a bowl. Watch the ball in. Throw 10 times.", lines: [5, 8] },
            { how: "Use a ball of socks. Touch your tummy once in place of the clap. Catch it softly. Throw 10 times.", lines: [5, 8] },
            { how: "Sit tall on a steady chair or on the floor. Throw a ball of socks as high as your eyes. Clap once, or tap your lap. Catch with two hands, or one hand and your lap. Throw 10 times.", lines: [5, 8] },
            "Scrunch a sheet of paper into a ball. Throw, clap once and catch. Throw 10 times."),
        cues: lookFor("Throws it straight up", "Hands ready like a bowl", "Eyes on the ball", "Hands go down softly with it"),
        questions: [ask("I have no time to clap. What helps?", "Throwing a little higher", "Throwing lower", "Clapping twice"), ask("What should my eyes do?", "Watch the ball all the way", "Watch my hands clap", "Look at the floor")],
        safety: SAFE, kit: things(["a soft ball", "a ball of socks"]),
        steps: step(["Stay near a bed or sofa, so that drops are soft.", "Stay on one mat."], ["Catch it without the clap.", "Clap twice."], ["Use a bigger, softer ball.", "Use a smaller ball."], ["A helper throws it up for you.", "Throw to a helper who claps first."]) },
    { key: "bounce-beat", name: "Bounce beat", strand: "catching", ...counted(30, 50, 100),
        summary: "Keep a beat and catch a ball for 30 seconds. Count your catches.",
        set_up: "Find a hard, flat floor where a ball may bounce. Ask a grown-up if this place is all right. Use a timer.",
        scoring: "One try is 30 seconds. Count each catch with two hands. If you drop it, fetch it and go on. Rest between tries.",
        versions: ways({ how: "Hold the ball with two hands. Push it down in front of you. Catch it as it comes up. Keep a steady beat. Go for 30 seconds.", lines: [15, 24] },
            { how: "You need no bounce. Use a ball of socks and a bed or cushion. Drop it from your eyes and pick it up. Go for 30 seconds. Count each time.", lines: [10, 18] },
            { how: "Sit tall on a steady chair. Bounce the ball beside you. Catch it. A helper may fetch it. Go for 30 seconds.", lines: [12, 20] },
            "You need no bounce. Throw a ball of paper from hand to hand. Each catch is one. Go for 30 seconds."),
        cues: lookFor("Soft fingers", "Eyes on the ball", "Steady beat", "Knees soft"),
        questions: [ask("It bounces away from me. What helps?", "Pushing it straight down", "Pushing it forward", "Pushing it harder"), ask("How do I keep a steady beat?", "I count out loud", "I hold my breath", "I hurry at the end")],
        safety: ["Ask a grown-up where you may play with a ball.", "Clear the floor. Keep away from roads and stairs.", "Shoes on and done up.", "Stop if anything hurts."],
        kit: things(["a ball that bounces", "a ball of socks and a cushion"], ["a timer", "somebody who watches a clock"]),
        steps: step(["Stay in a corner, so that it stays near.", "Stay inside a hoop or on a mat."], ["Let it bounce twice.", "Use one hand, then the other."], ["Use a bigger ball.", "Use a smaller ball."], ["A helper catches and gives it back.", "Bounce it to a helper."]) },
    { key: "cup-catch", name: "Cup catch", strand: "catching", ...hits(10),
        summary: "Toss a small paper ball and catch it in a cup. How many of 10?",
        set_up: "Scrunch a quarter of a sheet of paper into a ball. Hold a paper or plastic cup in your other hand.",
        scoring: "Toss 10 times. That is one try. In the cup is a hit. Count your hits.",
        versions: ways({ how: "Toss the ball as high as your chin. Move the cup under it. Let the cup sink with the ball. Toss 10 times.", lines: [3, 7] },
            { how: "Use a bit of cotton wool or tissue. Toss it softly. Toss 10 times.", lines: [3, 7] },
            { how: "Sit tall. Rest your elbow on the table if you like. Toss with one hand, catch with the other. A helper may toss for you. Toss 10 times.", lines: [3, 7] },
            "Make a cup with your two hands. Toss a ball of paper and catch it there. Toss 10 times."),
        cues: lookFor("Tosses it straight up", "Eyes on the ball, not on the cup", "Cup sinks with the ball"),
        questions: [ask("It jumps out of the cup. What helps?", "Letting the cup sink with it", "Lifting the cup fast", "Turning the cup over"), ask("Where do my eyes go?", "They follow the ball", "They look at the cup", "They look at the door")],
        safety: ["Paper or plastic cups only, no glass.", "Clear the space round you.", "Keep small things from babies and pets.", "Stop if anything hurts."],
        kit: things(["a paper cup", "a plastic cup or your two hands"], ["a small soft ball", "a ball of paper"]),
        steps: step(["Hold the cup close to the tossing hand.", "Hold the cup a long arm away."], ["Let it touch your arm first.", "Change hands."], ["Use a bigger cup.", "Use a smaller cup."], ["A helper drops it in.", "Catch what a helper tosses."]) }
];
