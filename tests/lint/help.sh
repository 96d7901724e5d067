#!/bin/sh
# SPDX-License-Identifier: MIT
# Every staff page says what it is for in two or three sentences (help.mjs).
exec node tests/lint/help.mjs
