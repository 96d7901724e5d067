#!/bin/sh
# SPDX-License-Identifier: MIT
# The routing table and the OpenAPI document name the same operations (routes.mjs).
exec node tests/lint/routes.mjs
