/* SPDX-License-Identifier: MIT
 * A real server on a free port, with a school in a folder of its own, for the tests.
 * THRICE in the environment names the program. */

import { spawn, execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readdirSync, rmSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import net from "node:net";
import tls from "node:tls";

export const thrice = resolve(process.env.THRICE || "build/thrice");

const env = { ...process.env, THRICE_KDF: "floor" };
const SANE_S = 20;      /* longest wait for a start or a stop, also under sanitizers */

/* The environment in which a program's clock is `seconds` ahead of this one's (which itself may have
 * been moved, by tests/lib/at.sh): for startServer's `more`. No machine vouches for a clock that was moved. */
export function clockMoved(seconds) {
    const lib = readdirSync("/usr/lib").map((d) => `/usr/lib/${d}/faketime/libfaketime.so.1`).find(existsSync);
    if (!lib) {
        throw new Error("the package libfaketime is missing");
    }
    const shift = Number(process.env.THRICE_SHIFT_S || 0) + Math.round(seconds);
    return { LD_PRELOAD: lib, FAKETIME: `${shift < 0 ? "" : "+"}${shift}s`, DONT_FAKE_MONOTONIC: "1",
        ASAN_OPTIONS: `${process.env.ASAN_OPTIONS ? process.env.ASAN_OPTIONS + ":" : ""}verify_asan_link_order=0` };
}

function run(args, input = "", more = {}) {
    return execFileSync(thrice, args, { env: { ...env, ...more }, input, encoding: "utf8", maxBuffer: 1 << 26, stdio: ["pipe", "pipe", "pipe"] });
}

function folder() {
    const top = mkdtempSync(join(tmpdir(), "thrice-test-"));
    return { top, data: join(top, "school") };
}

/* A new school in a folder of its own: {data, account: {name, passphrase}, remove()}. */
export function makeSchool() {
    const { top, data } = folder();
    const account = { name: "Maren", passphrase: "copper lantern by the brook" };
    run(["init", "--data", data, "--school", "Brindle Hill Primary", "--staff", account.name, "--passphrase-file", "-"], account.passphrase + "\n");
    return { data, account, remove: () => rmSync(top, { recursive: true, force: true }) };
}

/* Starts `thrice serve` on a free port of this machine: {url, port, pid, stop(), kill(), ended,
 * stderr()}. stop() asks it to end and answers its exit status; kill() is kill -9. The rate limits
 * are lifted unless options.rate says otherwise; options.more goes into its environment. */
export async function startServer(data, { args = [], rate = 1000000, listen = "127.0.0.1:0", more = {} } = {}) {
    const child = spawn(thrice, ["serve", "--data", data, "--listen", listen, "--rate", String(rate), ...args], { env: { ...env, ...more }, stdio: ["ignore", "pipe", "pipe"] });
    let out = "", err = "";
    child.stderr.on("data", (d) => { err += d; });
    const ended = new Promise((done) => child.on("close", (code, signal) => done({ code, signal })));
    const line = await new Promise((done, fail) => {
        const timer = setTimeout(() => fail(new Error("no line from the server: " + err)), SANE_S * 1000);
        child.stdout.on("data", (d) => {
            out += d;
            if (out.includes("\n")) {
                clearTimeout(timer);
                done(out);
            }
        });
        ended.then(() => fail(new Error("the server ended: " + err)));
    });
    const url = /^listening on (\S+)\n$/.exec(line);
    if (!url) {
        child.kill("SIGKILL");
        throw new Error("not one line `listening on ...`: " + line);
    }
    const end = async (signal) => {
        child.kill(signal);
        const timer = setTimeout(() => child.kill("SIGKILL"), SANE_S * 1000);
        const how = await ended;
        clearTimeout(timer);
        return how;
    };
    return { url: url[1], port: Number(/:(\d+)$/.exec(url[1])?.[1]), pid: child.pid, ended, stdout: () => out, stderr: () => err,
        stop: async () => (await end("SIGTERM")).code, kill: () => end("SIGKILL") };
}

/* A school that is served. start() serves the same folder again, on another port; a crash or a
 * sanitizer's complaint fails stop(). */
async function served(school, options, more = {}) {
    const s = { ...school, ...more };
    s.start = async () => {
        s.server = await startServer(school.data, options);
        s.url = s.server.url;
        s.port = s.server.port;
        return s;
    };
    s.kill = () => s.server.kill();
    s.stop = async () => {
        const code = await s.server.stop();
        school.remove();
        if (code !== 0) {
            throw new Error(`the server ended with ${code}: ${s.server.stderr().slice(-4000)}`);
        }
    };
    return s.start();
}

export function startSchool(options) {
    return served(makeSchool(), options);
}

/* The demo school: `.demo` is what `thrice demo --json` says. */
export function startDemo(options) {
    const { top, data } = folder();
    run(["demo", "--data", data, "--json"], "", options?.more);
    const demo = JSON.parse(readFileSync(join(data, "demo-sign-in.json"), "utf8"));
    const account = { name: demo.staff[0].name, passphrase: demo.staff[0].passphrase };
    return served({ data, account, remove: () => rmSync(top, { recursive: true, force: true }) }, options, { demo });
}

/* ---- raw bytes ---------------------------------------------------------------------------------- */

/* Sends bytes as they are and reads until the server closes or `quiet_ms` pass without a byte:
 * {text, closed, ms}. `pieces` may hold strings, Buffers and numbers (pauses in ms). With `ca` over TLS. */
export function raw(port, pieces, { quiet_ms = 700, half_close = false, ca = null } = {}) {
    return new Promise((done) => {
        const began = Date.now();
        const parts = [];
        let timer = null;
        const socket = ca ? tls.connect({ port, host: "127.0.0.1", ca }) : net.connect(port, "127.0.0.1");
        const finish = (closed) => {
            clearTimeout(timer);
            socket.destroy();
            done({ text: Buffer.concat(parts).toString("latin1"), closed, ms: Date.now() - began });
        };
        const again = () => {
            clearTimeout(timer);
            timer = setTimeout(() => finish(false), quiet_ms);
        };
        socket.on("data", (d) => { parts.push(d); again(); });
        socket.on("error", () => finish(true));
        socket.on("close", () => finish(true));
        socket.on(ca ? "secureConnect" : "connect", async () => {
            for (const piece of [].concat(pieces)) {
                if (typeof piece === "number") {
                    await new Promise((next) => setTimeout(next, piece));
                } else if (!socket.destroyed) {
                    socket.write(typeof piece === "string" ? Buffer.from(piece, "latin1") : piece);
                }
            }
            if (half_close) {
                socket.end();
            }
            again();
        });
    });
}

/* The answers in a stretch of bytes: [{status, headers, body}], by their Content-Length. */
export function answers(text) {
    const found = [];
    let rest = text;
    while (rest.startsWith("HTTP/1.")) {
        const end = rest.indexOf("\r\n\r\n");
        if (end < 0) {
            break;
        }
        const [first, ...lines] = rest.slice(0, end).split("\r\n");
        const headers = {};
        for (const line of lines) {
            const colon = line.indexOf(":");
            headers[line.slice(0, colon).toLowerCase()] = line.slice(colon + 1).trim();
        }
        const status = Number(first.split(" ")[1]);
        const length = status === 100 || status === 304 || status === 204 ? 0 : Number(headers["content-length"] || 0);
        found.push({ status, headers, body: rest.slice(end + 4, end + 4 + length) });
        rest = rest.slice(end + 4 + length);
    }
    return found;
}
