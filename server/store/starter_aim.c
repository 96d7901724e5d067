/* SPDX-License-Identifier: MIT
 * Starter activities: aiming. One with zones and distances to choose, one with hits and misses. */
#include "starters_internal.h"

const struct activity starter_slide = {
    .name = "Slide to the mat",
    .summary = "Slide something soft along the floor. Try to stop it on the mat.",
    .set_up = "Clear a strip of smooth floor. Put the mat flat at one end. Put a small sheet of "
              "paper in its middle. Mark a line with a sock. Start 2 or 3 metres away.",
    .scoring = "Slide 4 times. That is one try. Look where it stops. The middle is 5 points. The "
               "mat is 2 points. Anywhere else is 0. If it lies on a line, take the higher points.",
    .strand = STRAND_TARGET,
    .kind = ACTIVITY_KIND_ZONES,
    .unit = VALUE_POINTS,
    .attempts = 3,
    .throws = 4,
    .resolution = 1,
    .reference_mm = 3000,
    .distances_mm = {2000, 2500, 3000, 3500, 4000},
    .distance_count = 5,
    .zones = {{.name = "middle", .points = 5, SIDE(-150, 150)},
              {.name = "mat", .points = 2, SIDE(-350, 350)},
              {.name = "miss", .points = 0}},
    .zone_count = 3,
    .targets = {{.name = "a small mat or bath mat", .size_mm = 700},
                {.name = "a towel folded square", .size_mm = 700},
                {.name = "a tea towel laid flat", .size_mm = 600},
                {.name = "four socks as corners", .size_mm = 700}},
    .target_count = 4,
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(6, 12),
         .how = "Kneel on one knee behind your line. Hold the soft thing flat on the floor. Look "
                "at the middle of the mat. Swing your arm and let go low. Keep your hand pointing "
                "at the mat. Slide 4 times. Add up your points."},
        {.kind = VERSION_QUIET,
         .how = "Use a folded cloth on a rug or carpet. Kneel behind your line. Push it gently "
                "and let it glide. It makes no noise. Slide 4 times. Add up your points."},
        {.kind = VERSION_SEATED, LINES2(6, 12),
         .how = "Sit tall on the floor behind your line. Look at the middle. Swing your arm and "
                "let go low. From a chair or wheelchair, use a tray as a ramp. Let the soft thing "
                "glide down it to the floor. Slide 4 times. Add up your points."},
        {.kind = VERSION_NO_KIT,
         .how = "Use a rolled-up sock. Use a sheet of paper as the middle. Count one big hand "
                "around it as the mat. Kneel and slide the sock. Slide 4 times. Add up your "
                "points."}},
    .version_count = 4,
    .cues = {{.text = "Eyes on the middle before letting go"},
             {.text = "Body low, one knee down"},
             {.text = "Arm swings straight at the mat"},
             {.text = "Hand ends pointing at the mat"}},
    .cue_count = 4,
    .questions = {
        {.text = "It stops before the mat every time. What will help most?",
         THREE(RIGHT("A longer, smoother swing"), OTHER("Closing my eyes"),
               OTHER("Looking away"))},
        {.text = "It always goes to the left. What should I look at?",
         THREE(RIGHT("Where my hand points at the end"), OTHER("The colour of the mat"),
               OTHER("How loud it is"))},
        {.text = "How can I make it harder, fairly?",
         THREE(RIGHT("Start a little further away"), OTHER("Push as hard as I can"),
               OTHER("Count a miss as a hit"))}},
    .question_count = 3,
    .safety = {"Clear the floor. Nobody walks across the strip.",
               "No socks on a shiny floor.",
               "Slide soft things only. Keep them on the floor.",
               "Stop if anything hurts."},
    .safety_count = 4,
    .kit = {{.item = "a beanbag", .swap = "a folded cloth, or a sock with a sock inside"},
            {.item = "a small mat", .swap = "a towel folded square"},
            {.item = "a sheet of paper for the middle", .swap = "a paper plate"}},
    .kit_count = 3,
    .steps = {{.change = CHANGE_SPACE, .easier = "Move a little closer.",
               .harder = "Move a little further back."},
              {.change = CHANGE_TASK, .easier = "Stop it anywhere on the mat.",
               .harder = "Use your other hand."},
              {.change = CHANGE_EQUIPMENT, .easier = "Use a bigger towel.",
               .harder = "Use a smaller sheet of paper."},
              {.change = CHANGE_PEOPLE, .easier = "A helper points at the middle.",
               .harder = "Take turns and call the zone before you slide."}},
    .step_count = 4,
};

const struct activity starter_gate = {
    .name = "Gate roll",
    .summary = "Roll a soft ball through a gate of two shoes. Ten rolls make one try.",
    .set_up = "Put two shoes on the floor. Leave a gap as wide as your arm is long. That is your "
              "gate. Mark a line with a sock. Start 2 metres away. Have a wall or cushion behind "
              "the gate.",
    .scoring = "Roll 10 times. That is one try. Through the gate without touching a shoe is a "
               "hit. Anything else is a miss. Put the shoes back if they move. Count your hits.",
    .strand = STRAND_STRIKING,
    .kind = ACTIVITY_KIND_SUCCESSES,
    .unit = VALUE_COUNT,
    .attempts = 3,
    .throws = 10,
    .resolution = 1,
    .distances_mm = {2000, 3000, 4000},
    .distance_count = 3,
    .targets = {{.name = "a gap as wide as my arm is long", .size_mm = 500},
                {.name = "a gap of two shoes' length", .size_mm = 400},
                {.name = "a gap of one shoe's length", .size_mm = 200}},
    .target_count = 3,
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(5, 8),
         .how = "Put one foot forward. Bend your knees. Hold the ball low. Look at the gap. Roll "
                "it along the floor with a flat hand. It must not bounce. Fetch it and go again. "
                "Roll 10 times."},
        {.kind = VERSION_QUIET,
         .how = "Use a ball of socks on a rug. Kneel on one knee. Push it gently with your flat "
                "hand. Put a cushion behind the gate. Roll 10 times."},
        {.kind = VERSION_SEATED, OWN_TARGET(6),
         .how = "Sit on the floor or on a steady chair. From a chair, roll the ball down a tea "
                "tray or book as a ramp. Look at the gap. Let go gently. A helper can bring the "
                "ball back. Roll 10 times."},
        {.kind = VERSION_NO_KIT,
         .how = "Roll a ball of scrunched paper. Use two books as the gate. Kneel on one knee and "
                "push with a flat hand. Roll 10 times."}},
    .version_count = 4,
    .cues = {{.text = "Eyes on the gap"},
             {.text = "One foot forward, knees soft"},
             {.text = "Hand low, the ball stays on the floor"},
             {.text = "Flat hand follows through the gap"}},
    .cue_count = 4,
    .questions = {
        {.text = "Where should I look when I let go?",
         THREE(RIGHT("At the gap"), OTHER("Behind me"), OTHER("At the ball in my hand"))},
        {.text = "The ball bounces. What should I change?",
         THREE(RIGHT("Let go closer to the floor"), OTHER("Throw it harder"),
               OTHER("Look away first"))}},
    .question_count = 2,
    .safety = {"Check the space. No glass or pets near the gate.",
               "Roll a soft ball. Never throw it.",
               "Pick the ball up before you move back.",
               "Stop if anything hurts."},
    .safety_count = 4,
    .kit = {{.item = "a soft ball", .swap = "a ball of socks or scrunched paper"},
            {.item = "two markers", .swap = "two shoes or two books"}},
    .kit_count = 2,
    .steps = {{.change = CHANGE_SPACE, .easier = "Make the gap wider.",
               .harder = "Make the gap narrower."},
              {.change = CHANGE_TASK, .easier = "Touching a shoe still counts.",
               .harder = "Use your other hand."},
              {.change = CHANGE_EQUIPMENT, .easier = "Use a bigger ball.",
               .harder = "Use a smaller ball."},
              {.change = CHANGE_PEOPLE, .easier = "A helper rolls the ball back.",
               .harder = "A helper says left or right for two gates."}},
    .step_count = 4,
};
