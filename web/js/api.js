/* SPDX-License-Identifier: MIT
 * The only module that talks to the server. It adds the CSRF token to every request that changes
 * something, and turns every failure into one kind of error:
 *
 *   ApiError {status, slug, title, errors: [{pointer, code, ...}], retryAfter, offline}
 *
 * `offline` is true when no answer came at all: nobody knows whether the request arrived, so whoever
 * sends again must send the same id. words.js turns slug and codes into sentences. */

const BASE = "/api/v1";
let token = null;
let signedOut = null;

export class ApiError extends Error {
    constructor(parts) {
        super(parts.title || parts.slug || "failed");
        this.status = parts.status || 0;
        this.slug = parts.slug || "";
        this.title = parts.title || "";
        this.errors = parts.errors || [];
        this.retryAfter = parts.retryAfter || 0;
        this.offline = Boolean(parts.offline);
    }

    /* The first error with this code, or undefined. */
    code(name) {
        return this.errors.find((e) => e.code === name);
    }
}

async function failure(answer) {
    let problem = {};
    try {
        problem = await answer.json();
    } catch (e) {
        problem = {};
    }
    const type = typeof problem.type === "string" ? problem.type : "";
    /* in the words of a proxy: the server behind it did not answer */
    const away = !type && answer.status > 501;
    return new ApiError({
        status: answer.status,
        offline: away,
        slug: away ? "offline" : type.split("/").pop(),
        title: problem.title,
        errors: Array.isArray(problem.errors) ? problem.errors : [],
        retryAfter: Number(answer.headers.get("Retry-After")) || 0
    });
}

async function request(method, path, body, options) {
    const headers = { Accept: "application/json" };
    if (body !== undefined) {
        headers["Content-Type"] = options.type || "application/json";
    }
    if (method !== "GET" && (options.csrf || token)) {
        headers["X-CSRF-Token"] = options.csrf || token;
    }
    if (options.etag) {
        headers["If-None-Match"] = options.etag;
    }
    const init = {
        method,
        headers,
        credentials: "same-origin",
        cache: "no-store",
        redirect: "error"
    };
    if (body !== undefined) {
        init.body = options.type ? body : JSON.stringify(body);
    }
    let timer = 0;
    if (typeof AbortController === "function") {
        const stop = new AbortController();
        init.signal = stop.signal;
        if (options.signal) {
            options.signal.addEventListener("abort", () => stop.abort());
        }
        timer = window.setTimeout(() => stop.abort(), options.wait || 20000);
    }
    try {
        return await fetch(BASE + path, init);
    } catch (e) {
        throw new ApiError({ slug: "offline", title: "No answer", offline: true });
    } finally {
        window.clearTimeout(timer);
    }
}

async function read(answer, options) {
    if (answer.status === 304) {
        return null;
    }
    if (!answer.ok) {
        const error = await failure(answer);
        if (error.slug === "not-signed-in") {
            token = null;
            if (!options.quiet) {
                sessionEnded(error);
            }
        }
        throw error;
    }
    if (answer.status === 204) {
        return null;
    }
    let data;
    try {
        data = options.text ? await answer.text() : await answer.json();
    } catch (e) {
        throw new ApiError({
            status: answer.status,
            slug: "offline",
            title: "The answer broke off",
            offline: true
        });
    }
    if (data && typeof data.csrf_token === "string" && !options.peek) {
        token = data.csrf_token;
    }
    if (options.onetag) {
        options.onetag(answer.headers.get("ETag"));
    }
    return data;
}

/* One call. options: {etag, onetag(tag) (304 gives null), type + body as text, text: answer as text,
 * quiet: no signed-out notice, wait: ms, signal: an AbortSignal to give up by, peek: the answer's token
 * is not taken over, csrf: a token of the caller's, so that only that session can be meant}. */
export async function call(method, path, body, options) {
    const wanted = options || {};
    const answer = await request(method, path, body, wanted);
    return read(answer, wanted);
}

export function get(path, options) {
    return call("GET", path, undefined, options);
}

export function post(path, body, options) {
    return call("POST", path, body === undefined ? {} : body, options);
}

export function put(path, body, options) {
    return call("PUT", path, body, options);
}

export function del(path, options) {
    return call("DELETE", path, undefined, options);
}

/* The words of a language: a file of this build, so its address stands beside the page's style. */
export async function words(code) {
    const here = /^.*\/s\/[^/]+\//.exec(document.querySelector("link[href*='/s/']").href);
    const answer = await fetch(here[0] + "msg/" + code + ".json");
    if (!answer.ok) {
        throw new ApiError({ status: answer.status, slug: "offline" });
    }
    return answer.json();
}

/* `fn(error)` runs when a call finds that the session has ended. */
export function onSignedOut(fn) {
    signedOut = fn;
}

/* The session that the page was about is over, or is somebody else's. */
export function sessionEnded(error) {
    token = null;
    if (signedOut) {
        signedOut(error);
    }
}

export function forgetToken() {
    token = null;
}

/* The id of a hand-in, made before it is sent, so that a repeat is known for one. RFC 9562, version 7:
 * 48 bits of time, then chance. */
export function uuid7() {
    const bytes = window.crypto.getRandomValues(new Uint8Array(10));
    bytes[0] = 0x70 + (bytes[0] % 16);
    bytes[2] = 0x80 + (bytes[2] % 64);
    return Array.from(bytes)
        .reduce(
            (hex, b) => hex + (256 + b).toString(16).slice(1),
            Date.now().toString(16).padStart(12, "0")
        )
        .replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}
