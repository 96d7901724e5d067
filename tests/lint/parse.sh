#!/bin/sh
# SPDX-License-Identifier: MIT
# What is sent to a browser parses as ECMAScript 2018 (parse.mjs).
exec node tests/lint/parse.mjs
