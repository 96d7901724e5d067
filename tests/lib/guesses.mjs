/* SPDX-License-Identifier: MIT
 * Somebody who guesses the letters of cards from many addresses. */

import http from "node:http";

const LETTERS = "BCDFGHJKMNPRSTVWXYZ";

/* A well-formed code, the n-th of a fixed list: eight letters and the check letter (weights 1..9, sum 0
 * modulo 19; 9 x 17 = 1 modulo 19). That one of 630 cards has one of a few thousand is a chance of one
 * in 4,000: the list is fixed, the cards are not. */
export function guess(n) {
    const digits = [];
    let rest = 7000003 * (n + 1);
    for (let i = 0; i < 8; i += 1) {
        digits.push(rest % 19);
        rest = Math.floor(rest / 19);
    }
    const sum = digits.reduce((a, d, i) => a + d * (i + 1), 0);
    return [...digits, ((19 - (sum % 19)) * 17) % 19].map((d) => LETTERS[d]).join("");
}

/* `n` wrong codes to the server {url, host} behind a proxy, the i-th from address(i); how many answers
 * of each status. */
export async function guesses(w, n, address) {
    const seen = {};
    const agent = new http.Agent({ keepAlive: true, maxSockets: 16 });
    let next = 0;
    const one = (i) => new Promise((done, fail) => {
        const body = JSON.stringify({ card: guess(i) });
        const headers = { host: w.host, "content-type": "application/json", "content-length": body.length, "x-forwarded-for": address(i) };
        http.request(w.url + "/api/v1/session", { method: "POST", headers, agent }, (res) => {
            seen[res.statusCode] = (seen[res.statusCode] || 0) + 1;
            res.resume().on("end", done);
        }).on("error", fail).end(body);
    });
    await Promise.all(Array.from({ length: 16 }, async () => {
        while (next < n) {
            next += 1;
            await one(next - 1);
        }
    }));
    agent.destroy();
    return seen;
}

/* The ceiling of all, closed by 51 networks of 100 wrong codes each: 20 addresses of five. */
export const closeAll = (w) => guesses(w, 5100, (i) => `198.18.${i % 51}.${1 + (Math.floor(i / 51) % 20)}`);
