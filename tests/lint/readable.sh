#!/bin/sh
# SPDX-License-Identifier: MIT
# The English words are as easy to read as their readers need (readable.mjs).
exec node tests/lint/readable.mjs
