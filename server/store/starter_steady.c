/* SPDX-License-Identifier: MIT
 * Starter activities: a time to lengthen (balance, stopped at a minute so that nobody holds on too
 * long) and a time to shorten (a walk, where smooth beats hurried). */
#include "starters_internal.h"

const struct activity starter_heron = {
    .name = "Heron stand",
    .summary = "Balance like a heron. How long can you stay still?",
    .set_up = "Choose a flat floor near a wall or a steady chair. You can reach it. Ask somebody "
              "to time you, or count out loud.",
    .scoring = "Time starts when one foot leaves the floor. It stops when the foot comes down, "
               "the standing foot moves, or a hand touches something. Stop at 60 seconds.",
    .strand = STRAND_BALANCE,
    .kind = ACTIVITY_KIND_MEASURE,
    .unit = VALUE_MS,
    .attempts = 3,
    .resolution = 100,
    .hard_low = SET(100),
    .hard_high = SET(60000),
    .soft_low = SET(500),
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(10000, 25000),
         .how = "Put your hands on your hips. Look at one spot on the wall. Lift one foot beside "
                "your other knee. Do not lean it there. Stay still and breathe. Use the same leg "
                "for all three tries."},
        {.kind = VERSION_QUIET, LINES2(10000, 25000),
         .how = "Take your shoes off and stand on a carpet or mat. Hold your arms out like wings. "
                "Lift one foot. Stay still without a sound. Use the same leg for all three tries."},
        {.kind = VERSION_SEATED, LINES2(10000, 25000),
         .how = "Sit tall near the front of a steady chair. Do not lean on its back. Lift both "
                "arms to the side, like wings. Keep them level and still. Time starts when both "
                "are up. It stops when an arm drops or your back touches the chair."},
        {.kind = VERSION_NO_KIT,
         .how = "You need no timer. A helper counts slowly: one little heron, two little herons. "
                "Each heron is one second. Hands on hips, eyes on one spot, lift one foot. Send "
                "the number as seconds."}},
    .version_count = 4,
    .cues = {{.text = "Eyes on one spot"},
             {.text = "Standing knee soft, not locked"},
             {.text = "Tummy firm, back tall"},
             {.text = "Hips level"}},
    .cue_count = 4,
    .questions = {
        {.text = "What helps me to stay still?",
         THREE(RIGHT("Looking at one spot"), OTHER("Looking all round"),
               OTHER("Holding my breath"))},
        {.text = "I start to wobble. What should I do?",
         THREE(RIGHT("Bend my knee a little"), OTHER("Lock my knee straight"),
               OTHER("Close my eyes"))},
        {.text = "Which makes it harder, safely?",
         THREE(RIGHT("Folding my arms"), OTHER("Standing on a chair"),
               OTHER("Somebody pushing me"))}},
    .question_count = 3,
    .safety = {"Stay within reach of a wall or a steady chair.",
               "Flat, dry floor. No socks.",
               "Keep away from stairs and sharp corners.",
               "Rest when you tire. Stop if anything hurts."},
    .safety_count = 4,
    .kit = {{.item = "a timer", .swap = "somebody who counts slow seconds"}},
    .kit_count = 1,
    .steps = {{.change = CHANGE_SPACE, .easier = "Touch the wall with one finger.",
               .harder = "Keep your hands on your hips."},
              {.change = CHANGE_TASK, .easier = "Rest your toes on the floor.",
               .harder = "Turn your head slowly from side to side."},
              {.change = CHANGE_EQUIPMENT, .easier = "Put your toes on a low cushion.",
               .harder = "Stand on a folded towel."},
              {.change = CHANGE_PEOPLE, .easier = "Hold a helper's hand to start.",
               .harder = "Pass a sock to a helper and back."}},
    .step_count = 4,
};

const struct activity starter_trail = {
    .name = "Six-sock trail",
    .summary = "Carry six socks across the room, one at a time. How smoothly can you do it?",
    .set_up = "Put six balls of socks in a row. Put a box or bowl 3 big steps away. Clear the way "
              "between. Ask somebody to time you.",
    .scoring = "Time starts when you lift the first sock. It stops when the sixth is in the box. "
               "Walk. If a sock misses the box, put it in and go on. Less time is better.",
    .strand = STRAND_TRAVELLING,
    .kind = ACTIVITY_KIND_MEASURE,
    .unit = VALUE_MS,
    .attempts = 3,
    .lower_is_better = true,
    .resolution = 100,
    .hard_low = SET(5000),
    .hard_high = SET(300000),
    .soft_low = SET(12000),
    .soft_high = SET(120000),
    .versions = {
        {.kind = VERSION_STANDARD, LINES2(45000, 30000),
         .how = "Bend your knees to pick up one sock. Walk to the box and put it in. Turn and "
                "walk back for the next. One foot is always on the floor: no running. Carry all "
                "six, one at a time."},
        {.kind = VERSION_QUIET,
         .how = "Walk heel to toe so that nobody can hear you. Put each sock down without a "
                "sound. Carry all six, one at a time. No running."},
        {.kind = VERSION_SEATED, LINES2(30000, 18000),
         .how = "Sit tall on the floor or on a steady chair. Put six socks on one side. Put a "
                "bowl on the other side. Reach across, lift one sock, and place it in the bowl. "
                "Use both hands in turn. Carry all six, one at a time. In a wheelchair you may "
                "wheel the trail if there is room."},
        {.kind = VERSION_NO_KIT,
         .how = "Use six scraps of paper. Use a mark on the floor as the box. Bend, pick up, walk "
                "and place. Carry all six, one at a time. No running."}},
    .version_count = 4,
    .cues = {{.text = "Knees bend to pick up, back stays long"},
             {.text = "Head up on the way"},
             {.text = "Small steps to turn"},
             {.text = "Places the sock, does not throw it"}},
    .cue_count = 4,
    .questions = {
        {.text = "What should bend when I pick up a sock?",
         THREE(RIGHT("My knees"), OTHER("Only my back"), OTHER("My neck"))},
        {.text = "How can I save time and stay smooth?",
         THREE(RIGHT("Small, quick turns"), OTHER("Throwing the socks"),
               OTHER("Carrying two at once"))}},
    .question_count = 2,
    .safety = {"Clear the way. No toys, bags or wires on the floor.",
               "Go smoothly, never rush. No socks on a shiny floor.",
               "Keep away from stairs, doors and hot things.",
               "Stop if anything hurts."},
    .safety_count = 4,
    .kit = {{.item = "six beanbags", .swap = "six balls of socks or scraps of paper"},
            {.item = "a box", .swap = "a bowl, or a mark on the floor"},
            {.item = "a timer", .swap = "a clock with a second hand"}},
    .kit_count = 3,
    .steps = {{.change = CHANGE_SPACE, .easier = "Move the box closer.",
               .harder = "Move the box a little further."},
              {.change = CHANGE_TASK, .easier = "Carry four socks.",
               .harder = "Carry each sock flat on your open hand."},
              {.change = CHANGE_EQUIPMENT, .easier = "Use bigger things on a low chair.",
               .harder = "Carry each on a spoon or a ruler."},
              {.change = CHANGE_PEOPLE, .easier = "A helper hands you each sock.",
               .harder = "Share the trail: take turns with a helper."}},
    .step_count = 4,
};
