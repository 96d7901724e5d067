#!/bin/sh
# SPDX-License-Identifier: MIT
# Words of the pupil's and the family's pages stand in web/msg, in every language (words.mjs).
exec node tests/lint/words.mjs
