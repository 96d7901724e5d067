#!/bin/sh
# SPDX-License-Identifier: MIT
# commands.sh COUNTS THRICE: init, check, backup, restore, export and purge as an administrator
# uses them. School, names and results are invented.
set -u
counts=$1
thrice=$(realpath "$2")
mkdir -p "$(dirname "$counts")"
counts=$(realpath "$(dirname "$counts")")/$(basename "$counts")
work=$(mktemp -d)
server=
finish() {
    [ -z "$server" ] || kill "$server" 2>/dev/null
    rm -rf "$work"
}
trap finish EXIT
cd "$work" || exit 1
THRICE_KDF=floor
export THRICE_KDF
n=0
passed=0
failed=0

report() { # STATUS NAME
    n=$((n + 1))
    if [ "$1" -eq 0 ]; then
        passed=$((passed + 1))
        echo "ok $n - $2"
    else
        failed=$((failed + 1))
        sed 's/^/# /' out err
        echo "not ok $n - $2"
    fi
}
# expect STATUS NAME COMMAND...: exit status, and for a failure exactly one line on standard error
expect() {
    want=$1
    name=$2
    shift 2
    "$@" >out 2>err </dev/null
    got=$?
    lines=$(wc -l <err)
    if [ "$want" -eq 0 ]; then
        [ "$got" -eq 0 ] && [ "$lines" -eq 0 ]
    else
        [ "$got" -eq "$want" ] && [ "$lines" -eq 1 ]
    fi
    report $? "$name"
}
# tells NAME COMMAND...: done, and one line on standard error says what else there is to know
tells() {
    name=$1
    shift
    "$@" >out 2>err </dev/null
    [ $? -eq 0 ] && [ "$(wc -l <err)" -eq 1 ]
    report $? "$name"
}
says() { # FILE PATTERN NAME
    grep -q -- "$2" "$1"
    report $? "$3"
}
same() { # GOT WANT NAME
    [ "$1" = "$2" ]
    status=$?
    [ "$status" -eq 0 ] || echo "got $1, want $2" >>err
    report "$status" "$3"
}
sql() { sqlite3 "$1/school.db" "PRAGMA foreign_keys = ON; $2"; }
copy_school() { rm -rf "$2" && cp -a "$1" "$2"; }

# init -------------------------------------------------------------------------------------------
echo 'correct zebra walks home' >pass
expect 2 'init without arguments is wrong usage' "$thrice" init
expect 2 'init with an unknown option is wrong usage' "$thrice" init --data a --colour red
expect 0 'init has help' "$thrice" init --help
expect 0 'init makes a school' "$thrice" init --data school --school 'Larkfold Primary' \
    --staff 'R. Amberley' --passphrase-file pass --origin https://pe.larkfold.example
same "$(stat -c %a school school/school.db school/master.key | tr '\n' ' ')" '700 600 600 ' 'folder and files are private'
same "$(stat -c %s school/master.key)" 32 'the key is 32 bytes'
same "$(sql school 'SELECT time_zone FROM school')" Europe/London 'the time zone is Europe/London'
same "$(sql school 'SELECT group_concat(word, "|") FROM (SELECT word FROM band_word ORDER BY band)' 2>/dev/null ||
    sql school "SELECT group_concat(word, '|') FROM (SELECT word FROM band_word ORDER BY band)")" \
    'working towards the aim|met the aim|beyond the aim' 'the offered band words are there'
same "$(sql school 'SELECT count(*) FROM staff_right')" 3 'the first account holds every right'
same "$(sql school 'SELECT count(*) FROM activity')" 6 'six starter activities'
same "$(sql school 'SELECT must_change FROM staff')" 0 'a chosen passphrase need not be changed'
grep -q 'zebra' school/school.db
same $? 1 'the passphrase is not in the database'
expect 1 'init refuses a folder that holds something' "$thrice" init --data school --school X --staff Y
expect 1 'init refuses a weak passphrase' sh -c "echo password1234 | $thrice init --data weak --school X --staff Y --passphrase-file -"
expect 1 'init refuses a public address without TLS' "$thrice" init --data weak --school X --staff Y --origin http://pe.larkfold.example
expect 1 'init refuses an empty name' "$thrice" init --data weak --school ' ' --staff Y
[ ! -e weak ]
report $? 'a refused init leaves nothing behind'
expect 0 'init draws a passphrase' "$thrice" init --data drawn --school X --staff 'Kit Moss'
says out 'passphrase for Kit Moss: [a-z]*-[a-z]*-[a-z]*-[a-z]*$' 'and prints it once'
same "$(sql drawn 'SELECT must_change FROM staff')" 1 'and it must be changed'
expect 1 'init says when the folder cannot be made' "$thrice" init --data none/at/all --school X --staff Y

# staff: what would need a second person ------------------------------------------------------------
copy_school school two
expect 0 'the first second person is made without a word' "$thrice" staff add 'P. Reed' --rights safeguarding --data two
same "$(sql two 'SELECT count(*) FROM pending_change')" 0 'and leaves nothing to show'
alone() { # NAME PATTERN COMMAND...: done, and one line of log that holds ids and fixed words
    name=$1
    pattern=$2
    shift 2
    "$@" >out 2>err </dev/null && [ "$(wc -l <err)" -eq 1 ] && grep -qE "$pattern" err
    report $? "$name"
}
alone 'the next one is logged' '^warn without_second_person staff=[0-9]+ kind=safeguarding$' "$thrice" staff add 'Q. Sedge' --rights safeguarding --data two
alone 'so is a passphrase that opens messages' '^warn without_second_person staff=[0-9]+ kind=reset$' "$thrice" staff passphrase 'P. Reed' --data two
same "$(sql two "SELECT group_concat(kind || ' ' || outcome, ', ') FROM (SELECT kind, outcome FROM pending_change ORDER BY kind)")" \
    'reset machine, safeguarding machine' 'and both are kept for all staff to see'
same "$(sql two "SELECT count(*) FROM audit WHERE actor = 'office box' AND action = 'done without a second person'")" 2 'and in the audit'
expect 0 'an account that reads nothing needs nobody' "$thrice" staff add 'T. Vale' --rights pe_lead --data two
expect 0 'nor does its passphrase' "$thrice" staff passphrase 'T. Vale' --data two
expect 1 'accept says when nothing waits' "$thrice" staff accept 'P. Reed' --data two
expect 1 'accept says when there is nobody' "$thrice" staff accept 'N. Obody' --data two
expect 0 'the audit is still whole' "$thrice" check --data two

# check ------------------------------------------------------------------------------------------
expect 0 'a new school is sound' "$thrice" check --data school
says out '^to do: the data protection impact assessment' 'and says what the school has still to do'
expect 1 'check says when there is no folder' "$thrice" check --data nowhere
tamper() { # NAME SQL-OR-COMMAND
    copy_school school hurt
    (cd hurt && eval "$2")
    expect 1 "check finds: $1" "$thrice" check --data hurt
}
tamper 'a folder others may read' 'chmod 755 .'
tamper 'a database others may read' 'chmod 644 school.db'
tamper 'a key others may read' 'chmod 640 master.key'
tamper 'no key' 'rm master.key'
tamper 'another key' 'head -c 32 /dev/urandom >master.key'
tamper 'a key cut short' 'head -c 31 /dev/urandom >master.key'
tamper 'a trigger dropped' 'sqlite3 school.db "DROP TRIGGER hand_in_stays"'
tamper 'a table added' 'sqlite3 school.db "CREATE TABLE notes(pupil, text)"'
tamper 'another program number' 'sqlite3 school.db "PRAGMA application_id = 7"'
tamper 'an unknown time zone' 'sqlite3 school.db "UPDATE school SET time_zone = '"'Mars/Crater'"'"'
tamper 'pages overwritten' 'dd if=/dev/zero of=school.db bs=4096 seek=3 count=3 conv=notrunc 2>/dev/null'
tamper 'no database' 'rm school.db'
# shellcheck disable=SC2016
tamper 'an audit row changed' 'keep=$(sqlite3 school.db "SELECT sql FROM sqlite_schema WHERE name = '"'audit_stays'"'"); sqlite3 school.db "DROP TRIGGER audit_stays; UPDATE audit SET actor = '"'staff:1'"'; $keep"'
# shellcheck disable=SC2016
tamper 'an audit row dropped' 'keep=$(sqlite3 school.db "SELECT sql FROM sqlite_schema WHERE name = '"'audit_kept'"'"); sqlite3 school.db "INSERT INTO audit VALUES (2, 1, '"'a', 'b', 'c', ''"', zeroblob(32)); DROP TRIGGER audit_kept; DELETE FROM audit WHERE seq = 1; $keep"'

# A class with results, straight into the database ------------------------------------------------
now=$(date +%s)
today=$((now / 86400))
sql school "
INSERT INTO class VALUES (10, 'Oak', 'oak', 'class', $now, NULL);
INSERT INTO pupil VALUES (20, 'Wren', 'wren', 3, 4, 'open', NULL, $now, NULL),
  (21, '=1+1', '=1+1', 3, 5, 'open', NULL, $now, NULL),
  (22, 'Quillfeather', 'quillfeather', 5, 6, 'open', NULL, $now, $today - 61),
  (23, 'Robin', 'robin', 5, 6, 'open', NULL, $now, $today - 59);
INSERT INTO membership VALUES (20, 10, $today - 100, NULL), (21, 10, $today - 100, NULL),
  (22, 10, $today - 200, $today - 61), (23, 10, $today - 200, $today - 59);
INSERT INTO unit(id, name, created_at) VALUES (40, 'Aiming', $now);
INSERT INTO challenge SELECT 50, (SELECT min(id) FROM revision), 40, 10, $now - 86400 * 3, $now + 86400, $now + 86400 * 2, $now, NULL;
INSERT INTO challenge_class VALUES (10, 50);
INSERT INTO hand_in(seq, id, pupil_id, challenge_id, version_id, channel, received_at, done_day, after_date, best, confirmed, surprising, content_hash)
 SELECT v.column1, randomblob(16), v.column2, 50, (SELECT min(id) FROM version WHERE revision_id = (SELECT min(id) FROM revision)), 'web', v.column3, $today, 0, 5, 0, 0, randomblob(32)
 FROM (VALUES (60, 20, $now - 86400 * 402), (61, 20, $now - 86400), (62, 22, $now - 86400 * 90)) v;
INSERT INTO attempt VALUES (60, 1, 5, NULL, NULL, NULL, 0), (61, 1, 5, NULL, NULL, NULL, 0), (62, 1, 5, NULL, NULL, NULL, 0);
INSERT INTO card VALUES (70, 20, 'pupil', 'home', randomblob(32), randomblob(32), $today - 90, NULL, NULL, NULL, $now - 86400 * 62),
  (71, 20, 'pupil', 'school', randomblob(32), randomblob(32), $today, NULL, NULL, NULL, NULL);
INSERT INTO session VALUES (80, randomblob(32), 'pupil', NULL, $now - 90000, $now - 90000, $now - 90000),
  (81, randomblob(32), 'pupil', NULL, $now - 60, $now - 60, $now - 60);
INSERT INTO session_card VALUES (80, 71), (81, 71);
INSERT INTO message (id, pupil_id, about, body_part, still, raised_at) VALUES (90, 20, 'talk', NULL, NULL, $now - 86400 * 40), (91, 20, 'talk', NULL, NULL, $now - 86400 * 40);
INSERT INTO message_acknowledgement SELECT 90, id, $now - 86400 * 32, 'recorded_elsewhere' FROM staff;
INSERT INTO message_acknowledgement SELECT 91, id, $now - 86400 * 32, 'acknowledged' FROM staff;"
expect 0 'the school with a class is sound' "$thrice" check --data school

# export -----------------------------------------------------------------------------------------
expect 2 'export without a class is wrong usage' "$thrice" export results --data school
expect 1 'export says when there is no such class' "$thrice" export roster --class Elm --data school
expect 0 'export roster' "$thrice" export roster --class oak --data school
says out '"Wren",3,"Oak"' 'has the child'
says out "\"'=1+1\",3" 'and a name that looks like a formula is disarmed'
expect 0 'export results' "$thrice" export results --class Oak --data school
says out '^"Wren",3,10,' 'has a row of the challenge'
expect 0 'export pupil by name' "$thrice" export pupil Wren --class Oak --data school
says out '"display_name":"Wren"' 'has the child'
says out '"cards":\[' 'and the cards'
says out '"hand_ins":\[' 'and the hand-ins'
grep -q '"about"\|"body_part"\|talk' out
same $? 1 'and no message'
expect 0 'export pupil by id' "$thrice" export pupil 21 --data school
expect 1 'export says when there is no such child' "$thrice" export pupil 999 --data school
expect 1 'export says when there is no such name' "$thrice" export pupil Nobody --class Oak --data school
same "$(sql school "SELECT count(*) FROM audit WHERE actor = 'office box' AND action IN ('roster exported', 'results exported', 'data copied')")" 4 'each export left its audit row, the refused ones none'

# cards: what a reprint does with a second home's card ---------------------------------------------
live() { sql "$1" "SELECT group_concat(label, ' ') FROM (SELECT k.label FROM card k JOIN pupil p ON p.id = k.pupil_id
    WHERE p.display_name = '$2' AND k.holder = 'pupil' AND k.cancelled_at IS NULL ORDER BY k.label)"; }
cp -r school homes
sql homes "DELETE FROM card; INSERT INTO card(id, pupil_id, holder, label, code_mac, key_hash, made_day)
SELECT 700 + n, id, 'pupil', label, randomblob(32), randomblob(32), 20000 FROM pupil,
(SELECT 1 AS n, 'home' AS label UNION SELECT 2, 'other_home') WHERE display_name = 'Wren'"
expect 2 'cards: --others goes with --replace' "$thrice" cards Oak --others keep --data homes
expect 2 'cards: --others is one of two words' "$thrice" cards Oak --replace --others both --data homes
expect 0 'cards for those who have none' "$thrice" cards Oak --data homes
same "$(live homes Wren)" 'home other_home' 'leave a child with two as it is'
tells 'cards anew' "$thrice" cards Oak --replace --data homes
same "$(live homes Wren)" 'home other_home' 'a child with two homes still has a card for each'
same "$(sql homes 'SELECT count(*) FROM card WHERE id = 702 AND cancelled_at IS NULL')" 1 'that of the other home is the old one'
same "$(sql homes 'SELECT count(*) FROM card WHERE id = 701 AND cancelled_at IS NULL')" 0 'that of the first is not'
says err 'kept and still working.*: Wren (other home)$' 'says so by name and kind'
says out 'kept and still working.*: Wren (other home)\.' 'and on the page'
tells 'cards anew, the further ones too' "$thrice" cards Oak --replace --others remake --data homes
same "$(live homes Wren)" 'home other_home' 'each kind that was live is made anew'
same "$(sql homes 'SELECT count(*) FROM card WHERE id = 702 AND cancelled_at IS NULL')" 0 'that of the other home too'
says err 'reissued.*: Wren (home, other home)$' 'says so by name and kind'
says out 'Oak · other home · picture' 'and prints it with its kind'
sql homes "UPDATE pupil SET family_view = 'off' WHERE display_name = 'Wren'"
tells 'cards for families' "$thrice" cards Oak --holder family --data homes
says err "held back, and made one by one on the pupil's page: Wren$" 'a family that the office holds back is named'
says out 'held back, and made one by one on the pupil.*s page: Wren\.' 'on the page too'
same "$(sql homes "SELECT count(*) FROM card k JOIN pupil p ON p.id = k.pupil_id WHERE k.holder = 'family' AND p.display_name = 'Wren'")" 0 'and no card made for it'
expect 1 'nobody else needs one' "$thrice" cards Oak --holder family --data homes
says err 'held back' 'which is said'
expect 0 'the folder is sound' "$thrice" check --data homes

# backup and restore, beside a running server ----------------------------------------------------
"$thrice" serve --data school --listen 127.0.0.1:0 >serve.out 2>serve.err &
server=$!
i=0
while [ $i -lt 100 ] && ! grep -q '^listening on' serve.out; do
    sleep 0.1
    i=$((i + 1))
done
says serve.out '^listening on' 'a server is at work'
expect 0 'backup while serving' "$thrice" backup monday.backup --data school
same "$(stat -c %a monday.backup)" 600 'the copy is private'
expect 1 'backup never replaces a file' "$thrice" backup monday.backup --data school
expect 1 'backup says when the folder for it is missing' "$thrice" backup no/where/x --data school
same "$(find . -maxdepth 1 -name '*.part' | wc -l)" 0 'no part file is left'
kill "$server"
wait "$server"
same $? 0 'the server ends with 0'
server=
expect 0 'restore with the key' "$thrice" restore monday.backup --data back --key school/master.key
expect 0 'what was restored is sound' "$thrice" check --data back
same "$(sql back 'SELECT count(*) FROM session')" 0 'all sessions ended'
same "$(sql back 'SELECT count(*) FROM card WHERE cancelled_at IS NULL')" 1 'cards live on'
same "$(sql back 'SELECT count(*) FROM hand_in')" 3 'every hand-in is there'
expect 1 'restore refuses a folder that holds something' "$thrice" restore monday.backup --data back
expect 1 'restore refuses the key of another school' "$thrice" restore monday.backup --data other --key drawn/master.key
expect 1 'restore refuses a key that is none' "$thrice" restore monday.backup --data other --key pass
[ ! -e other ]
report $? 'a refused restore leaves nothing behind'
expect 0 'restore without the key' "$thrice" restore monday.backup --data anew
says out 'cards must be issued anew' 'says that cards must be issued anew'
same "$(sql anew 'SELECT count(*) FROM card WHERE cancelled_at IS NULL')" 0 'and has cancelled them'
expect 0 'it is sound' "$thrice" check --data anew
says out 'under an earlier key' 'and says from where on the audit trail can be proven'
head -c 100000 monday.backup >cut.backup
expect 1 'restore refuses a backup cut short' "$thrice" restore cut.backup --data other
expect 1 'restore refuses what is no backup' "$thrice" restore pass --data other

# demo -------------------------------------------------------------------------------------------
for on in 2027-08-31 2027-09-01 2027-09-05 2027-09-06; do
    expect 0 "demo on $on" "$thrice" demo --today "$on" --data "demo-$on"
    same "$(sql "demo-$on" "SELECT count(*) FROM card WHERE holder = 'family' AND (expires_at < unixepoch('$on') OR made_day > unixepoch('$on') / 86400)")" 0 "its family cards are good on $on"
done

# purge ------------------------------------------------------------------------------------------
# The clock of a command is moved with libfaketime; nobody vouches for a moved clock, on any machine.
# Days count from noon (UTC) of the day after this run began, so that its hour makes no difference.
faketime=$(find /usr/lib -name libfaketime.so.1 | head -n 1)
base=$((today + 1))
in_days() { # DAYS COMMAND...: as at noon of that day from `base` (tests/lib/at.sh may have moved now itself)
    shift_s=$((${THRICE_SHIFT_S:-0} + (base + $1) * 86400 + 43200 - $(date +%s)))
    shift
    env LD_PRELOAD="$faketime" FAKETIME="$(printf '%+ds' "$shift_s")" DONT_FAKE_MONOTONIC=1 \
        ASAN_OPTIONS="${ASAN_OPTIONS:+$ASAN_OPTIONS:}verify_asan_link_order=0" "$@"
}
day_in() { in_days "$1" date -u +%F; }
purge_in() { # DAYS OPTIONS...: somebody on the box says the date of that day
    in=$1
    shift
    in_days "$in" "$thrice" purge --confirm-date "$(day_in "$in")" "$@"
}
figures() { sed -n 's/: / /p' out | awk '$1 != "waits" && $1 != "listed" {print $NF}' | tr '\n' ' '; }
expect 2 'purge --confirm-date wants a date' "$thrice" purge --confirm-date today --data school
[ -n "$faketime" ]
report $? 'the package libfaketime is there'
expect 1 'purge refuses a date that the clock does not show' in_days 0 "$thrice" purge --confirm-date 2020-01-01 --data school
says err "clock says $(day_in 0), not 2020-01-01" 'and says what it shows'
expect 1 'purge refuses a clock that nobody vouches for' in_days 0 "$thrice" purge --dry-run --data school
says err '--confirm-date 20' 'and says how to go on'
same "$(sql school 'SELECT count(*) FROM purge_plan')" 0 'a look makes no plan'
expect 0 'purge makes the first plan' purge_in 1 --data school
same "$(figures)" '2 0 0 0 0 0 0 0 ' 'and deletes old sessions alone'
says out '^waits: listed on .*: may go from .* on, after 5 days of use (so far 0)$' 'and says what the rest waits for'
same "$(sql school "SELECT group_concat(kind) FROM (SELECT kind FROM purge_listed ORDER BY kind)")" card,hand_in,leaver,leaver,message 'each that is due within 14 days is listed'
copy_school school ahead
for i in 2 4 6 8; do sql school "INSERT INTO use_day VALUES ($base + $i)"; done
expect 0 'purge after a fortnight with four days of use' purge_in 15 --data school
same "$(sql school 'SELECT count(*) FROM pupil')" 4 'deletes no child'
says out 'so far 4' 'and says that one is missing'
sql school "INSERT INTO use_day VALUES ($base + 15)"
touch -d '36 days ago' school/school-before-0001.db
expect 1 'a fortnight later nobody vouches for the clock' in_days 16 "$thrice" purge --data school
same "$(sql school 'SELECT count(*) FROM pupil')" 4 'and nothing is deleted'
[ -e school/school-before-0001.db ]
report $? 'no copy either'
expect 0 'purge --dry-run' purge_in 16 --dry-run --data school
cp out planned
same "$(sql school 'SELECT count(*) FROM pupil')" 4 'deletes nothing'
expect 0 'purge' purge_in 16 --data school
same "$(sed -n '2,9p' out)" "$(sed -n '2,9p' planned)" 'does what the dry run said'
same "$(figures)" '0 1 1 2 1 0 0 1 ' 'card, message, leavers, hand-in, copy'
same "$(sql school "SELECT group_concat(id) FROM (SELECT id FROM pupil ORDER BY id)")" 20,21 'the leavers, listed and due, are gone'
same "$(sql school 'SELECT group_concat(seq) FROM hand_in')" 61 'so are the leaver'"'"'s and the old hand-in'
same "$(sql school 'SELECT group_concat(id) FROM message')" 91 'a message nobody recorded elsewhere stays'
cat school/* | grep -aq Quillfeather
same $? 1 'no byte of the name is left in the files'
grep -aq Quillfeather monday.backup
same $? 0 '(the search finds it in the older backup)'
expect 0 'after purging all is sound' "$thrice" check --data school
says out "^last purge: $(day_in 16)\$" 'check says when the last purge ran'
says out "^last backup: $(TZ=Europe/London date -r monday.backup +%F)\$" 'and the last backup'
expect 0 'two years ahead, with the date confirmed, purge makes a plan' purge_in 730 --data ahead
same "$(sql ahead 'SELECT (SELECT count(*) FROM pupil) + (SELECT count(*) FROM hand_in)')" 7 'and deletes nothing: nobody has used the school since'
expect 0 'check of that school' "$thrice" check --data ahead
says out '^to do: something is stored with a later time' 'says that the clock was wrong'
sql back "UPDATE school SET created_at = $now + 7200"
expect 1 'purge refuses a clock behind what is stored' "$thrice" purge --data back
says err 'earlier than what is stored' 'and says so'

echo "1..$n"
echo "$passed $failed" >"$counts"
echo "cli: $passed passed, $failed failed"
[ "$failed" -eq 0 ]
