/* SPDX-License-Identifier: MIT
 * Starter activities: catching, out of twelve, and skipping, counted for half a minute. */
#include "starters_internal.h"

const struct activity starter_catch = {
    .name = "Wall catches",
    .summary = "Throw a soft ball and catch it. How many of 12 can you catch?",
    .set_up = "Clear a space. Find a wall with no windows or pictures. Mark a line with a sock, "
              "just over 1 metre from the wall. Ask a grown-up if this wall is all right.",
    .scoring = "Throw 12 times. That is one try. Count the balls you catch before they touch the "
               "floor. A drop counts as one throw.",
    .strand = STRAND_CATCHING,
    .kind = ACTIVITY_KIND_SUCCESSES,
    .unit = VALUE_COUNT,
    .attempts = 3,
    .throws = 12,
    .resolution = 1,
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(5, 9),
         .how = "Put your feet apart on your line. Throw the ball underarm at the wall. Make your "
                "hands ready like a bowl. Watch the ball all the way in. Pull it softly to your "
                "tummy. Throw 12 times."},
        {.kind = VERSION_QUIET, LINES2(6, 10),
         .how = "Use a ball of socks. You need no wall. Throw it up as high as your head. Catch "
                "it with two hands. Throw 12 times."},
        {.kind = VERSION_SEATED, LINES2(6, 10),
         .how = "You need no wall. Sit tall on a steady chair or on the floor. Throw a ball of "
                "socks up to the height of your eyes. Catch it with two hands, or one hand and "
                "your lap. Throw 12 times."},
        {.kind = VERSION_NO_KIT,
         .how = "You need no wall. Scrunch a sheet of paper into a ball. Throw it up as high as "
                "your head. Catch it with two hands. Throw 12 times."}},
    .version_count = 4,
    .cues = {{.text = "Hands ready in front, like a bowl"},
             {.text = "Eyes follow the ball into the hands"},
             {.text = "Hands go back softly with the ball"},
             {.text = "Feet move to get behind the ball"}},
    .cue_count = 4,
    .questions = {
        {.text = "Why do my hands go back with the ball?",
         THREE(RIGHT("So that it does not bounce out"), OTHER("To throw faster"),
               OTHER("To look good"))},
        {.text = "What should my eyes do?",
         THREE(RIGHT("Watch the ball all the way in"), OTHER("Look at the door"),
               OTHER("Look at my helper"))},
        {.text = "I catch all 12. How can I make it harder, fairly?",
         THREE(RIGHT("Clap before each catch"), OTHER("Throw as hard as I can"),
               OTHER("Count to 20"))}},
    .question_count = 3,
    .safety = {"Ask a grown-up where you may throw.",
               "Use a soft ball only. Throw underarm.",
               "Check behind you and beside you. Shoes on and done up.",
               "Stop if anything hurts."},
    .safety_count = 4,
    .kit = {{.item = "a soft ball that fits your hand", .swap = "a ball of socks"},
            {.item = "a line", .swap = "a sock on the floor"}},
    .kit_count = 2,
    .steps = {{.change = CHANGE_SPACE, .easier = "Move closer to the wall.",
               .harder = "Move further from the wall."},
              {.change = CHANGE_TASK, .easier = "Let it bounce once.",
               .harder = "Clap once before you catch."},
              {.change = CHANGE_EQUIPMENT, .easier = "Use a bigger, softer ball.",
               .harder = "Use a smaller ball."},
              {.change = CHANGE_PEOPLE, .easier = "A helper drops the ball into your hands.",
               .harder = "Take turns: one throws, one catches."}},
    .step_count = 4,
};

const struct activity starter_skip = {
    .name = "Half-minute skips",
    .summary = "Skip for 30 seconds. Count your skips.",
    .set_up = "Find a flat place with room all round. Swing the rope once to check. No rope? Lay "
              "a sock or a string as a line. Ask somebody to say go and stop, or use a timer.",
    .scoring = "One try is 30 seconds. Count each time both feet have gone over. If you miss "
               "one, carry on counting. Rest for two minutes between tries.",
    .strand = STRAND_SKIPPING,
    .kind = ACTIVITY_KIND_TIMED_COUNT,
    .unit = VALUE_COUNT,
    .attempts = 3,
    .seconds = 30,
    .resolution = 1,
    .hard_high = SET(150),
    .soft_high = SET(90),
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(15, 30),
         .how = "Hold the rope behind your heels. Keep your elbows near your sides. Turn the rope "
                "with your wrists. Jump low and land softly. Skip for 30 seconds. Count your "
                "skips."},
        {.kind = VERSION_QUIET, LINES2(20, 35),
         .how = "You need no rope and no jumps. Lay a string on a mat or rug. Step over it with "
                "one foot, then the other. Then step back. Both feet over is one. Step softly "
                "for 30 seconds. Count them."},
        {.kind = VERSION_SEATED, LINES2(20, 35),
         .how = "Sit tall on a steady chair. Turn a short rope beside you with one wrist. Or lay "
                "a string across a table. Tap both hands over it and back. One turn, or one tap "
                "over, is one. Go for 30 seconds. Count them."},
        {.kind = VERSION_NO_KIT,
         .how = "Pretend that you hold a rope. Turn your wrists. Jump low and land softly each "
                "time it comes round. Go for 30 seconds. Count your jumps."}},
    .version_count = 4,
    .cues = {{.text = "Wrists turn the rope, elbows stay in"},
             {.text = "Small, low jumps"},
             {.text = "Soft knees on landing"},
             {.text = "Head up, eyes forward"},
             {.text = "A steady beat"}},
    .cue_count = 5,
    .questions = {
        {.text = "What should turn the rope?",
         THREE(RIGHT("My wrists"), OTHER("My whole body"), OTHER("My head"))},
        {.text = "How should I land?",
         THREE(RIGHT("Softly, with bent knees"), OTHER("With straight legs"),
               OTHER("On my heels"))}},
    .question_count = 2,
    .safety = {"Look up and all round. Nothing is near enough to hit.",
               "Shoes on and done up. Dry, flat ground.",
               "Move low and softly. Rest between tries.",
               "Stop if anything hurts, or if you feel dizzy or short of breath."},
    .safety_count = 4,
    .kit = {{.item = "a skipping rope", .swap = "a string or a sock laid as a line"},
            {.item = "a timer", .swap = "somebody who watches a clock for 30 seconds"}},
    .kit_count = 2,
    .steps = {{.change = CHANGE_SPACE, .easier = "Step over a line on the floor.",
               .harder = "Stay on one spot, as small as a mat."},
              {.change = CHANGE_TASK, .easier = "Turn the rope, stop it, step over.",
               .harder = "Swap feet as if you run on the spot."},
              {.change = CHANGE_EQUIPMENT, .easier = "Use a line and no rope.",
               .harder = "Turn the rope backwards."},
              {.change = CHANGE_PEOPLE, .easier = "A helper claps a slow beat.",
               .harder = "Go in time with a helper."}},
    .step_count = 4,
};
