/* SPDX-License-Identifier: MIT
 * A client for the HTTP tests: keeps the cookie and the CSRF token as a browser would, and writes
 * every exchange to THRICE_RECORD (a file, one JSON object a line), which tests/contract then holds
 * against the OpenAPI document. */

import http from "node:http";
import { webcrypto as crypto } from "node:crypto";
import { appendFileSync } from "node:fs";

/* A kept connection is let go before the server's own limit for idle ones: one that the server is just
 * closing would take a request and answer it with a reset. */
const IDLE_MS = 4000;
const agent = new http.Agent({ keepAlive: true, maxSockets: 64, timeout: IDLE_MS });

function record(exchange) {
    if (process.env.THRICE_RECORD) {
        appendFileSync(process.env.THRICE_RECORD, JSON.stringify(exchange) + "\n");
    }
}

export class Client {
    constructor(base) {
        this.base = base;
        this.cookie = null;
        this.csrf = null;
        this.session = null;
    }

    /* One request. `body` may be an object (JSON), or a string/Buffer with options.type.
     * options: {headers, type, noCsrf, noRecord}. Answers {status, headers, text, json}. */
    request(method, path, body, options = {}) {
        const headers = { ...(options.headers || {}) };
        let bytes = null;
        if (body !== undefined && body !== null) {
            bytes = options.type ? Buffer.from(body) : Buffer.from(JSON.stringify(body));
            headers["content-type"] = headers["content-type"] || options.type || "application/json";
            headers["content-length"] = bytes.length;
        }
        if (this.cookie) {
            headers.cookie = this.cookie;
        }
        if (method !== "GET" && this.csrf && !options.noCsrf) {
            headers["x-csrf-token"] = this.csrf;
        }
        return new Promise((resolve, reject) => {
            const req = http.request(this.base + path, { method, headers, agent }, (res) => {
                const parts = [];
                res.on("data", (d) => parts.push(d));
                res.on("error", reject);
                res.on("end", () => resolve(this.answer(method, path, { body, type: options.type, noRecord: options.noRecord }, res, Buffer.concat(parts))));
            });
            req.on("error", reject);
            req.end(bytes || undefined);
        });
    }

    answer(method, path, sent, res, bytes) {
        const text = bytes.toString("utf8");
        const type = res.headers["content-type"] || "";
        const json = /json/.test(type) && text ? JSON.parse(text) : null;
        for (const line of res.headers["set-cookie"] || []) {
            const pair = line.split(";")[0];
            this.cookie = /max-age=0/i.test(line) || pair.endsWith("=") ? null : pair;
        }
        if (json && typeof json.csrf_token === "string") {
            this.csrf = json.csrf_token;
        }
        if (!sent.noRecord) {
            record({ method, path, status: res.statusCode, type, request: sent.type ? null : sent.body === undefined ? null : sent.body,
                requestType: sent.type || (sent.body === undefined ? null : "application/json"), text });
        }
        return { status: res.statusCode, headers: res.headers, text, json, bytes };
    }

    get(path, options) {
        return this.request("GET", path, undefined, options);
    }
    post(path, body = {}, options) {
        return this.request("POST", path, body, options);
    }
    put(path, body = {}, options) {
        return this.request("PUT", path, body, options);
    }
    del(path, options) {
        return this.request("DELETE", path, undefined, options);
    }

    /* Signs in ({name, passphrase} | {card} | {key}); throws when refused. */
    async signIn(way) {
        const answer = await this.post("/api/v1/session", way);
        if (answer.status !== 200) {
            throw new Error("sign-in refused: " + answer.status + " " + answer.text);
        }
        this.session = answer.json;
        return answer.json;
    }
}

export async function signedIn(base, way) {
    const client = new Client(base);
    await client.signIn(way);
    return client;
}

/* A version 7 UUID (RFC 9562). */
export function uuid7() {
    const bytes = new Uint8Array(16);
    crypto.getRandomValues(bytes);
    let time = Date.now();
    for (let i = 5; i >= 0; i -= 1) {
        bytes[i] = time % 256;
        time = Math.floor(time / 256);
    }
    bytes[6] = 0x70 | (bytes[6] & 0x0f);
    bytes[8] = 0x80 | (bytes[8] & 0x3f);
    const hex = Buffer.from(bytes).toString("hex");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
