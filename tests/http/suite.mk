# SPDX-License-Identifier: MIT
# HTTP tests against the real server on a free port, then the record of every exchange against the
# OpenAPI document. Both need the npm packages of tests/package.json (sh tests/run installs them).
SUITES += http browser contract asan

check-http: $(B)/thrice
	@rm -f $(T)/counts/exchanges.jsonl
	@sh tests/lib/run_node.sh $(T)/counts/http $(B)/thrice $(sort $(wildcard tests/http/*.test.mjs))

check-browser: $(B)/thrice
	@sh tests/lib/run_node.sh $(T)/counts/browser $(B)/thrice $(sort $(wildcard tests/browser/*.test.mjs))

# After check-http and check-browser: holds what they recorded against the document.
check-contract:
	@sh tests/lib/run_node.sh $(T)/counts/contract $(B)/thrice tests/contract/contract.test.mjs

# C and HTTP tests once more under AddressSanitizer and UndefinedBehaviorSanitizer.
check-asan:
	@$(MAKE) --no-print-directory SAN=1 B=$(B)-san $(B)-san/thrice
	@THRICE_RECORD= SAN=1 MAKE="$(MAKE)" sh tests/lib/run_suites.sh $(B)-san unit assess store http | tee $(B)-san/asan.txt
	@mkdir -p $(T)/counts && sed -n 's/^\([0-9]*\) passed, \([0-9]*\) failed$$/\1 \2/p' $(B)-san/asan.txt | tail -n 1 >$(T)/counts/asan
	@read -r p f <$(T)/counts/asan && [ "$$f" -eq 0 ]

.PHONY: check-http check-browser check-contract check-asan

# The README's pictures, taken from the demo school.
pictures: $(B)/thrice
	@mkdir -p deploy/pictures && THRICE=$(B)/thrice node tests/pictures.mjs
.PHONY: pictures

# Pictures of every screen of children and families, to be looked at: make shots DIR=/tmp/shots [ONLY=ur-360,en-320]
shots: $(B)/thrice
	@THRICE=$(B)/thrice node tests/shots/shots.mjs $(DIR)
.PHONY: shots

# Long runs, not part of `make check`: kill -9 while hand-ins come in (KILLS=40), and ratios.
attack: $(B)/thrice
	@THRICE=$(B)/thrice THRICE_KDF=floor node tests/attack/kill.mjs
bench: $(B)/thrice
	@THRICE=$(B)/thrice THRICE_KDF=floor node tests/bench/bench.mjs
	@THRICE=$(B)/thrice THRICE_KDF=floor node tests/bench/preview.mjs
.PHONY: attack bench
