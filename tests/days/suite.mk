# SPDX-License-Identifier: MIT
# The tests on other days than today: server and node by libfaketime, C tests by clock_fix() (plain
# build only: a sanitizer wants to be loaded first). `make check` takes the first two; `make check-days`
# all of them, and the browser tests on two.
SUITES += two-days

# Instants are universal time. Summer time in London changes at 01:00 on the last Sundays of March
# and October (Summer Time Act 1972, as amended by SI 2002/262).
DAYS_ALWAYS := "saturday=2026-11-28 10:00" "new-year-eve=2026-12-31 23:58"
DAYS_MORE := "sunday=2026-11-29 10:00" "last-of-august=2027-08-31 10:00" "first-of-september=2027-09-01 10:00" \
    "christmas-eve=2026-12-24 10:00" "leap-day=2028-02-29 10:00" "before-summer=2027-03-28 00:30" \
    "into-summer=2027-03-28 01:00" "summer=2027-03-28 01:30" "before-winter=2026-10-25 00:30" \
    "into-winter=2026-10-25 01:00" "winter=2026-10-25 01:30"
DAYS_BROWSER := "saturday-browser=2026-11-28 10:00" "first-of-september-browser=2027-09-01 10:00"

# two-days passes its counts on to `make check`; check-days runs those two as well.
DAYS_SUITES := unit store cli http
check-two-days: $(B)/thrice $(UNIT_BINS) $(STORE_BINS)
	@UNIT="$(UNIT_BINS)" STORE="$(STORE_BINS)" sh tests/days/days.sh $(T)/counts/two-days $(B) "$(DAYS_SUITES)" $(DAYS_ALWAYS)

check-days: check-two-days
	@UNIT="$(UNIT_BINS)" STORE="$(STORE_BINS)" sh tests/days/days.sh $(T)/counts/days $(B) "$(DAYS_SUITES)" $(DAYS_MORE)
	@THRICE_TEST_SECONDS=1200 sh tests/days/days.sh $(T)/counts/days-browser $(B) browser $(DAYS_BROWSER)

.PHONY: check-days check-two-days
