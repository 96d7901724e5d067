/* SPDX-License-Identifier: MIT
 * `thrice serve` as a program: what it refuses, where it listens, cookies and Host by the public
 * address, whose word it takes for a client's address, TLS, --web-dir.
 * Sources: RFC 6265bis 4.1.3.2 (the __Host- prefix), RFC 6797 7.2 (HSTS over TLS only), RFC 8996
 * (TLS 1.0 and 1.1 are gone). */

import test from "node:test";
import assert from "node:assert/strict";
import http from "node:http";
import https from "node:https";
import tls from "node:tls";
import { spawnSync } from "node:child_process";
import { copyFileSync, cpSync, existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { answers, makeSchool, raw, startServer, thrice } from "../lib/server.mjs";

const CERT = fileURLToPath(new URL("../data/tls/cert.pem", import.meta.url));
const KEY = fileURLToPath(new URL("../data/tls/key.pem", import.meta.url));
const WEB = fileURLToPath(new URL("../../web", import.meta.url));

/* One request with node's own client; options as http.request. */
function ask(options, body) {
    const lib = options.protocol === "https:" ? https : http;
    return new Promise((done, fail) => {
        const req = lib.request({ agent: false, host: "127.0.0.1", ...options }, (res) => {
            const parts = [];
            res.on("data", (d) => parts.push(d));
            res.on("end", () => done({ status: res.statusCode, headers: res.headers, text: Buffer.concat(parts).toString("utf8") }));
        });
        req.on("error", fail);
        req.end(body);
    });
}

const signIn = (options, account) => {
    const text = JSON.stringify(account);
    return ask({ method: "POST", path: "/api/v1/session", ...options, headers: { "content-type": "application/json", "content-length": text.length, ...options.headers } }, text);
};

test("serve", async (t) => {
    const school = makeSchool();
    t.after(() => school.remove());

    await t.test("refusals: one line on standard error, 1 for the world, 2 for usage", () => {
        const serve = (...args) => spawnSync(thrice, ["serve", ...args], { encoding: "utf8", timeout: 10000 });
        const data = ["--data", school.data];
        const cases = [
            [2], [2, "--nope", ...data], [2, ...data, ...data], [2, ...data, "stray"], [2, ...data, "--tls-cert", CERT], [2, ...data, "--loops", "0"],
            [2, ...data, "--max-connections", "many"], [2, ...data, "--listen"],
            [1, "--data", school.data + "-none"], [1, ...data, "--listen", "0.0.0.0:0"], [1, ...data, "--listen", "[::]:0"], [1, ...data, "--listen", "nowhere"],
            [1, ...data, "--listen", "127.0.0.1:99999"], [1, ...data, "--origin", "http://school.example"], [1, ...data, "--origin", "school.example"],
            [1, ...data, "--listen", "127.0.0.1:0", "--behind-proxy", "proxy.example"], [1, ...data, "--listen", "127.0.0.1:0", "--tls-cert", KEY, "--tls-key", CERT],
            [1, ...data, "--listen", "0.0.0.0:0", "--tls-cert", CERT, "--tls-key", KEY]
        ];
        for (const [status, ...args] of cases) {
            const got = serve(...args);
            assert.equal(got.status, status, args.join(" ") + ": " + got.stderr);
            assert.equal(got.stdout, "");
            assert.match(got.stderr, /^thrice serve: [^\n]+\n$/);
        }
        for (const help of [["serve", "--help"], ["--help"], ["--version"], ["routes"]]) {
            const got = spawnSync(thrice, help, { encoding: "utf8" });
            assert.deepEqual([got.status, got.stderr], [0, ""]);
            assert.ok(got.stdout.length > 20);
        }
    });

    await t.test("a port in use is refused, and the first server goes on", async () => {
        const server = await startServer(school.data);
        const second = spawnSync(thrice, ["serve", "--data", school.data, "--listen", `127.0.0.1:${server.port}`], { encoding: "utf8", timeout: 10000 });
        assert.equal(second.status, 1);
        assert.equal((await ask({ port: server.port, path: "/healthz" })).status, 200);
        assert.match(server.stdout(), /^listening on http:\/\/127\.0\.0\.1:[0-9]+\n$/, "exactly one line");
        assert.equal(await server.stop(), 0);
    });

    await t.test("a second server on the folder is refused by name, until the first has gone, however it went", async () => {
        const server = await startServer(school.data);
        const again = () => spawnSync(thrice, ["serve", "--data", school.data, "--listen", "127.0.0.1:0"], { encoding: "utf8", timeout: 10000 });
        const second = again();
        assert.deepEqual([second.status, second.stdout], [1, ""]);
        assert.ok(second.stderr.includes(`process ${server.pid}`), second.stderr);
        assert.equal(second.stderr.split("\n").length, 2, "one line");
        assert.equal(statSync(join(school.data, "lock")).mode & 0o777, 0o600);
        await server.kill();
        assert.equal(await (await startServer(school.data)).stop(), 0, "nothing is left behind by kill -9");
    });

    await t.test("another school's master.key is refused, by the server and by commands that write", async () => {
        const own = readFileSync(join(school.data, "master.key"));
        writeFileSync(join(school.data, "master.key"), Buffer.alloc(32, 7));
        const tried = [["serve", "--listen", "127.0.0.1:0"], ["staff", "list"], ["purge"], ["export", "roster", "--class", "none"], ["check"]]
            .map((args) => [args[0], spawnSync(thrice, [...args, "--data", school.data], { encoding: "utf8", timeout: 10000 })]);
        const copy = spawnSync(thrice, ["backup", join(school.data, "copy"), "--data", school.data], { encoding: "utf8", timeout: 10000 });
        writeFileSync(join(school.data, "master.key"), own);
        assert.match(copy.stdout, /^\(the audit trail does not fit master\.key; thrice check says more\)$/m, "and no head is printed that is none");
        assert.doesNotMatch(copy.stdout, /audit trail: row/);
        for (const [command, got] of tried) {
            assert.equal(got.status, 1, command);
            assert.match(got.stderr + got.stdout, /master\.key is another school's/, command);
        }
        assert.equal(await (await startServer(school.data)).stop(), 0);
    });

    await t.test("plain http on this machine: cookie s, the three names, no HSTS", async () => {
        const server = await startServer(school.data);
        for (const name of ["127.0.0.1", "localhost", "[::1]"]) {
            assert.equal((await ask({ port: server.port, path: "/healthz", headers: { host: `${name}:${server.port}` } })).status, 200, name);
        }
        for (const host of ["127.0.0.1", `127.0.0.2:${server.port}`, `localhost.evil.example:${server.port}`, `school.example:${server.port}`]) {
            assert.equal((await ask({ port: server.port, path: "/healthz", headers: { host } })).status, 421, host);
        }
        const got = await signIn({ port: server.port }, school.account);
        const cookies = got.headers["set-cookie"];
        assert.ok(cookies.some((c) => /^s=[\w-]{43}; Path=\/; HttpOnly; SameSite=Strict$/.test(c)), cookies.join("\n"));
        assert.equal(got.headers["strict-transport-security"], undefined);
        const foreign = await signIn({ port: server.port, headers: { origin: "https://school.example" } }, school.account);
        assert.equal(foreign.status, 403);
        assert.equal(await server.stop(), 0);
    });

    await t.test("a public https address: __Host- cookie, Secure, HSTS, that Host alone", async () => {
        const server = await startServer(school.data, { args: ["--origin", "https://pe.brindle.example/", "--behind-proxy", "127.0.0.1"] });
        const host = "pe.brindle.example";
        const got = await signIn({ port: server.port, headers: { host, origin: "https://pe.brindle.example", "sec-fetch-site": "same-origin" } }, school.account);
        assert.equal(got.status, 200, got.text);
        const session = got.headers["set-cookie"].find((c) => c.startsWith("__Host-s="));
        assert.match(session, /; Path=\/; Secure; HttpOnly; SameSite=Strict$/);
        assert.ok(!/domain/i.test(session));
        assert.equal(got.headers["strict-transport-security"], "max-age=31536000; includeSubDomains");
        assert.equal(got.headers.connection, "close", "one request a connection behind a proxy");
        assert.equal((await ask({ port: server.port, path: "/", headers: { host } })).headers.connection, "close");
        assert.equal((await ask({ port: server.port, path: "/healthz", headers: { host: "PE.Brindle.Example" } })).status, 200);
        assert.equal((await ask({ port: server.port, path: "/healthz", headers: { host: `127.0.0.1:${server.port}` } })).status, 421);
        const signOut = await ask({ method: "DELETE", port: server.port, path: "/api/v1/session", headers: { host, cookie: session.split(";")[0], "x-csrf-token": JSON.parse(got.text).csrf_token } });
        assert.equal(signOut.status, 204);
        assert.match(signOut.headers["set-cookie"][0], /^__Host-s=; Path=\/; Secure; HttpOnly; SameSite=Strict; Max-Age=0$/);
        assert.equal(await server.stop(), 0);
    });

    await t.test("X-Forwarded-For counts from the named proxy only, and one clean address at that", async () => {
        const tries = async (port, headers) => {
            let turned = 0;
            for (let i = 0; i < 30; i += 1) {
                const got = await ask({ port, path: "/api/v1/session", headers: { host: "pe.brindle.example", ...headers(i) } });
                turned += got.status === 429;
            }
            return turned;
        };
        const origin = ["--origin", "https://pe.brindle.example"];
        const proxied = await startServer(school.data, { rate: 2, args: [...origin, "--behind-proxy", "127.0.0.1"] });
        assert.equal(await tries(proxied.port, (i) => ({ "x-forwarded-for": `192.0.2.${i}` })), 0, "each its own");
        assert.equal(await tries(proxied.port, (i) => ({ "x-forwarded-for": `203.0.113.1, 2001:db8:${i}::1` })), 0, "the last one is what the proxy saw");
        assert.ok(await tries(proxied.port, (i) => ({ "x-forwarded-for": `198.51.100.${i}, 203.0.113.9` })) > 0, "what stands before it is the client's word");
        assert.ok(await tries(proxied.port, (i) => ({ "x-forwarded-for": `nonsense${i}` })) > 0, "what is no address shares one bucket");
        assert.equal(await proxied.stop(), 0);
        const direct = await startServer(school.data, { rate: 2, args: origin });
        assert.ok(await tries(direct.port, (i) => ({ "x-forwarded-for": `192.0.2.${i}` })) > 0, "nobody's word without a proxy");
        assert.equal(await direct.stop(), 0);
    });

    await t.test("a unix socket: for its group, gone at the end, a stale one is replaced", async () => {
        const dir = mkdtempSync(join(tmpdir(), "thrice-socket-"));
        const path = join(dir, "http.sock");
        for (const end of ["kill", "stop"]) {
            const server = await startServer(school.data, { listen: `unix:${path}` });
            assert.equal(server.url, `unix:${path}`);
            assert.equal(statSync(path).mode & 0o777, 0o660);
            const got = await ask({ socketPath: path, path: "/healthz", headers: { host: "localhost" } });
            assert.deepEqual([got.status, got.text, got.headers.connection], [200, "ok\n", "close"]);
            await server[end]();
            assert.equal(existsSync(path), end === "kill");
        }
        writeFileSync(path, "not a socket");
        const got = spawnSync(thrice, ["serve", "--data", school.data, "--listen", `unix:${path}`], { encoding: "utf8", timeout: 10000 });
        assert.equal(got.status, 1);
        assert.equal(readFileSync(path, "utf8"), "not a socket");
        rmSync(dir, { recursive: true });
    });

    await t.test("TLS of its own: 1.2 and 1.3, nothing older, no static RSA", async () => {
        const server = await startServer(school.data, { args: ["--tls-cert", CERT, "--tls-key", KEY] });
        assert.match(server.url, /^https:\/\/127\.0\.0\.1:[0-9]+$/);
        const ca = readFileSync(CERT);
        const got = await ask({ protocol: "https:", port: server.port, path: "/healthz", ca });
        assert.deepEqual([got.status, got.text], [200, "ok\n"]);
        assert.match(got.headers["strict-transport-security"], /max-age=31536000/);
        const speak = (options) => new Promise((done) => {
            const socket = tls.connect({ port: server.port, host: "127.0.0.1", ca, ...options }, () => { done(socket.getProtocol()); socket.destroy(); });
            socket.on("error", () => done(null));
        });
        assert.equal(await speak({}), "TLSv1.3");
        assert.equal(await speak({ maxVersion: "TLSv1.2" }), "TLSv1.2");
        assert.equal(await speak({ minVersion: "TLSv1", maxVersion: "TLSv1.1", ciphers: "ALL:@SECLEVEL=0" }), null);
        assert.equal(await speak({ maxVersion: "TLSv1.2", ciphers: "ECDHE-ECDSA-AES256-SHA:AES256-SHA:@SECLEVEL=0" }), null);
        const many = await Promise.all(Array.from({ length: 30 }, () => ask({ protocol: "https:", port: server.port, path: "/", ca })));
        assert.ok(many.every((a) => a.status === 200));
        const host = `127.0.0.1:${server.port}`;
        for (const request of [`GET /healthz HTTP/1.1\nHost:${host}\n:\n`, `GET /healthz HTTP/1.1\r\nHost:${host}\r\n\0\r\n`]) {
            const smuggled = await raw(server.port, `${request}GET /nothing HTTP/1.1\r\nHost: ${host}\r\n\r\n`, { ca });
            assert.deepEqual([answers(smuggled.text).map((a) => a.status), smuggled.closed], [[400], true], "what was sent is not what was parsed");
        }
        assert.equal(await server.stop(), 0);
    });

    await t.test("--web-dir: pages from the folder as they are now, paths from the table alone", async () => {
        const dir = mkdtempSync(join(tmpdir(), "thrice-web-"));
        cpSync(WEB, dir, { recursive: true });
        copyFileSync(KEY, join(dir, "secret.html"));
        const server = await startServer(school.data, { args: ["--web-dir", dir] });
        const get = (path) => ask({ port: server.port, path, headers: { host: `127.0.0.1:${server.port}` } });
        const before = await get("/");
        assert.equal(before.headers["cache-control"], "no-cache");
        const css = /href="(\/s\/[0-9a-f]{16}\/css\/base\.css)"/.exec(before.text)[1];
        writeFileSync(join(dir, "css", "base.css"), "/* changed */");
        const after = await get(css);
        assert.deepEqual([after.text, after.headers["cache-control"]], ["/* changed */", "no-cache"]);
        assert.equal((await get("/secret")).status, 404);
        rmSync(join(dir, "privacy.html"), { force: true });
        assert.equal((await get("/privacy")).status, 404);
        assert.equal(await server.stop(), 0);
        rmSync(dir, { recursive: true });
    });
});
