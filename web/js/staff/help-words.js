/* SPDX-License-Identifier: MIT
 * What each staff page that works is for (a page that only explains needs none), in two or three
 * sentences: the end of its address -> words. tests/lint/help.mjs
 * holds this to the pages that there are. */

export const HELP = {
    "": "Your classes at a glance, and what waits for you: messages first, then hand-ins to check. A new school is led from here to the first tries in four steps. Open a class to see who has done what.",
    account: "Your own passphrase and where you are signed in. End a session that you do not know. A lost passphrase is issued anew by the office.",
    activities: "Everything your school can set, by strand. Set one, change it, make a copy or archive it; the library has more. A challenge that is open keeps the words with which it was set.",
    activity: "One activity: what to do, how to score, four ways of doing it. A change makes a new state of it; challenges that are set keep theirs. Band lines can be tried out on last time's class on their own page.",
    assess: "What the tries of a unit point to, how sure that is, and what was seen in lessons. You decide; families see an assessment only once you share it. What comes from home is practice, so one that nobody saw in a lesson is opened by itself.",
    board: "Numbers for a whiteboard: how many have sent, no names and no reasons. It is safe to show to a class. It looks again by itself.",
    cards: "Cards with picture, QR code and letters, one a child, shown once. Print them now; afterwards they can only be replaced, and whoever has a second card is named before that. Treat a card as you would a house key.",
    catchup: "The children of a class who have not sent yet, for a catch-up at lunch or in a lesson. Tick who comes, print the list or make a group of them. Not having sent lowers nothing, so ask kindly.",
    changes: "What waits for a second person, because somebody would come to read children's messages by it. Accept what you know to be right, decline what you do not. Who reads them now, and since when, stands below.",
    challenge: "One challenge: every child's tries as lanes, what changed, and what they point to. Enter tries for a child here, or a pile of sheets with the keyboard. Beside each class you teach, change its dates or cancel it there.",
    check: "What waits for your look over all your classes. K keeps, S sets aside, A asks the child again. Until you have looked, a surprising try or a mistake counts for nothing.",
    class: "Who has done it: a row a child, a column a challenge, each state by its shape and word. It looks again every few seconds. It is no attendance record, and not sending lowers nothing.",
    counts: "Returns and swimming statements by year group, for the PE lead. The exact numbers stay inside the school. “For publishing” hides what is too small to be told.",
    hall: "One class for one hour on a tablet, with or without a connection. Tap tries and teaching points; everything goes once, by itself. When the hour is over the names are gone from the tablet.",
    library: "Activities of our own to take over, each with kit, swaps, four ways and a safety check. Look at one whole first. What you take is your school's to change.",
    lines: "The lines between bands, with a preview of how last time's class would fall and how sure that would be. Nothing changes before you save. Open unit ends then use the new lines.",
    list: "The names of a class: paste or upload a list, look at it, store it. Name and year group are all that is kept; other columns are dropped. Children who join later are added one by one.",
    messages: "What children want you to know. Read it each school day and say what was done; the words for that are fixed. For anything serious follow the school's safeguarding policy: this is not an emergency service.",
    next: "Who needs it closer, who further away, and which teaching point is missing, as groups with a kit list. Copy it as text or print it. The groups are a start; you know the children.",
    paper: "A pile of paper sheets, typed with the keyboard alone. Totals or each throw; what cannot be is marked as you type. What is typed is kept on this device until it is stored.",
    pupil: "All of one child: tries, what was seen, assessments, cards, class. The copy of the data and a fresh start are here too. Opening this page is noted in the record of who did what.",
    reports: "Two or three sentences a child to begin a report with, from what was decided and seen. They are kept as you type, until you say that the reports are done. How often a home sent is in none of them.",
    school: "What holds for the whole school: dates, bands, staff and their rights, messages, languages. What you may not change you can read. The record at the end says who did what.",
    second: "A colleague looks at a few children without seeing your view; then both stand side by side. You say together what is agreed. It shows where the bands are read differently.",
    seen: "Teaching points seen in lessons, children by points. One tap: seen; two: looked for and not seen; three: nothing. A tap is saved at once.",
    set: "Choose an activity, the classes and the days. Children see it on their page from the first day; what is done while it is open counts, whenever it arrives. Blank closing day: the end of the term.",
    sheets: "Home sheets with a box for every throw, a mark sheet and slips, each on A4 in black and white. Choose, look, print. The number on a home sheet is what a family types.",
    starts: "Which way of doing it comes first on a child's page, in this challenge alone. No reason is asked or kept. Every child still sees all the ways and may choose any.",
    statements: "What a teacher ticks from seeing it: yes or not yet, with the day and who. Swimming is among them and is never set for home. A tick can be taken back.",
    term: "A term week by week for each class: what opens, is due and closes, and the weeks with nothing. Days are those of the school's own time zone. Print it, or go on to set something.",
    units: "Units of work with their lessons and the activities in each. Save one as a file for another school, or bring one in: it is shown before it is stored. Archive what is over.",
    year: "Classes move up, children leave, cards are made anew: a plan first, then done as a whole. Make a backup before. Below it stands what is deleted, and when."
};
