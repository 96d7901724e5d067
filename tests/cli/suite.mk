# SPDX-License-Identifier: MIT
# The command line, from outside: exit status, one line on standard error, files and their modes.
SUITES += cli
check-cli: $(B)/thrice
	@sh tests/cli/commands.sh $(T)/counts/cli $(B)/thrice
.PHONY: check-cli
