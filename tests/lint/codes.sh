#!/bin/sh
# SPDX-License-Identifier: MIT
# Every error code is in one list and has words for each who reads it (codes.mjs).
exec node tests/lint/codes.mjs
