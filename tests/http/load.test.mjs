/* SPDX-License-Identifier: MIT
 * The pitfalls of the HTTP library, each as a test against the real server: exact multiples of 128
 * ready events, pending resumes, a stop under load, a client that is gone while its work is with the
 * writer, clients that send a byte at a time, too many connections. Common practice, no source. */

import test from "node:test";
import assert from "node:assert/strict";
import net from "node:net";
import { startSchool, startServer, makeSchool, raw, answers } from "../lib/server.mjs";
import { Client, signedIn } from "../lib/client.mjs";

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

function open(port) {
    return new Promise((done, fail) => {
        const socket = net.connect(port, "127.0.0.1", () => done(socket));
        socket.once("error", fail);
    });
}

/* Sends one request on an open socket; answers {status, ms}, or null when the socket ends first. */
function ask(socket, text, limit_ms = 5000) {
    return new Promise((done) => {
        const began = Date.now();
        let got = "";
        const finish = (value) => {
            clearTimeout(timer);
            socket.removeAllListeners();
            socket.on("error", () => {});
            done(value);
        };
        const timer = setTimeout(() => finish(null), limit_ms);
        socket.on("data", (d) => {
            got += d.toString("latin1");
            const [answer] = answers(got);
            if (answer && answer.body.length === Number(answer.headers["content-length"] || 0)) {
                finish({ ...answer, ms: Date.now() - began });
            }
        });
        socket.on("error", () => finish(null));
        socket.on("close", () => finish(null));
        socket.write(text);
    });
}

/* A POST as raw bytes with the client's cookie and token. */
function rawPost(client, host, path, body) {
    const text = JSON.stringify(body);
    return `POST ${path} HTTP/1.1\r\nHost: ${host}\r\nCookie: ${client.cookie}\r\nX-CSRF-Token: ${client.csrf}\r\n` +
        `Content-Type: application/json\r\nContent-Length: ${Buffer.byteLength(text)}\r\n\r\n${text}`;
}

async function classNames(client) {
    const list = await client.get("/api/v1/classes", { noRecord: true });
    assert.equal(list.status, 200, list.text);
    return new Set(list.json.classes.map((c) => c.name));
}

test("many clients at once", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const host = `127.0.0.1:${school.port}`;

    for (const n of [127, 128, 129, 256, 257]) {
        await t.test(`${n} clients, each an answer, three rounds`, async () => {
            const sockets = await Promise.all(Array.from({ length: n }, () => open(school.port)));
            for (let round = 0; round < 3; round += 1) {
                const got = await Promise.all(sockets.map((s) => ask(s, `GET /healthz HTTP/1.1\r\nHost: ${host}\r\n\r\n`)));
                assert.equal(got.filter((a) => a && a.status === 200).length, n);
                assert.ok(Math.max(...got.map((a) => a.ms)) < 3000, "nobody waits for a timeout");
            }
            sockets.forEach((s) => s.destroy());
        });
    }

    await t.test("128 and 256 writes at once, each acknowledged and there", async () => {
        const first = await signedIn(school.url, school.account);
        for (const n of [128, 256]) {
            const sockets = await Promise.all(Array.from({ length: n }, () => open(school.port)));
            const got = await Promise.all(sockets.map((s, i) => ask(s, rawPost(first, host, "/api/v1/classes", { name: `Wave ${n} ${i}` }))));
            assert.equal(got.filter((a) => a && a.status === 201).length, n);
            sockets.forEach((s) => s.destroy());
            const there = await classNames(first);
            for (let i = 0; i < n; i += 1) {
                assert.ok(there.has(`Wave ${n} ${i}`), `Wave ${n} ${i}`);
            }
        }
    });

    await t.test("reads stay quick while writes come in", async () => {
        const first = await signedIn(school.url, school.account);
        let going = true;
        const writers = Array.from({ length: 16 }, async (_, w) => {
            for (let i = 0; going; i += 1) {
                const answer = await first.post("/api/v1/classes", { name: `Busy ${w} ${i}` }, { noRecord: true });
                assert.equal(answer.status, 201);
            }
        });
        const socket = await open(school.port);
        const times = [];
        for (let i = 0; i < 100; i += 1) {
            times.push((await ask(socket, `GET /healthz HTTP/1.1\r\nHost: ${host}\r\n\r\n`)).ms);
        }
        going = false;
        await Promise.all(writers);
        socket.destroy();
        times.sort((a, b) => a - b);
        assert.ok(times[50] < 100, `median ${times[50]} ms`);
    });

    await t.test("sign-ins with slow hashes: answered or told to come back, never hung", async () => {
        const tries = await Promise.all(Array.from({ length: 40 }, () => new Client(school.url).post("/api/v1/session", school.account, { noRecord: true })));
        const kinds = new Set(tries.map((a) => a.status));
        for (const answer of tries) {
            assert.ok([200, 429, 503].includes(answer.status), String(answer.status));
            if (answer.status !== 200) {
                assert.match(answer.headers["retry-after"], /^[1-9][0-9]*$/);
            }
        }
        assert.ok(kinds.has(200));
    });
});

test("a client that is gone while its work is with the writer", async (t) => {
    const school = await startSchool();
    t.after(() => school.stop());
    const host = `127.0.0.1:${school.port}`;
    const first = await signedIn(school.url, school.account);
    for (let i = 0; i < 60; i += 1) {
        const socket = await open(school.port);
        socket.on("error", () => {});
        socket.write(rawPost(first, host, "/api/v1/classes", { name: `Gone ${i}` }), () => (i % 2 ? socket.resetAndDestroy() : socket.destroy()));
    }
    for (let i = 0; i < 10; i += 1) {
        const text = JSON.stringify(school.account);
        const socket = await open(school.port);
        socket.on("error", () => {});
        socket.write(`POST /api/v1/session HTTP/1.1\r\nHost: ${host}\r\nContent-Type: application/json\r\nContent-Length: ${text.length}\r\n\r\n${text}`, () => setTimeout(() => socket.resetAndDestroy(), 5));
    }
    await pause(1500);
    /* Sign-ins that were let go may still have opened sessions; a sixth ends the first. */
    const after = await signedIn(school.url, school.account);
    const there = await classNames(after);
    assert.ok([...there].filter((n) => n.startsWith("Gone ")).length > 0, "what reached the writer is stored");
    assert.equal((await after.get("/healthz")).status, 200);
});

test("a stop under load: exit 0, and nothing acknowledged is lost", async (t) => {
    const school = makeSchool();
    t.after(() => school.remove());
    const acknowledged = [];
    for (let round = 0; round < 3; round += 1) {
        const server = await startServer(school.data);
        const first = await signedIn(server.url, school.account);
        const host = `127.0.0.1:${server.port}`;
        let refused = 0, going = true;
        const clients = Array.from({ length: 64 }, async (_, c) => {
            const socket = await open(server.port);
            for (let i = 0; going; i += 1) {
                const name = `Stop ${round} ${c} ${i}`;
                const answer = await ask(socket, rawPost(first, host, "/api/v1/classes", { name }));
                if (answer && answer.status === 201) {
                    acknowledged.push(name);
                } else {
                    assert.ok(!answer || answer.status === 503, `not ${answer && answer.status}`);
                    refused += 1;
                    break;
                }
            }
            socket.destroy();
        });
        /* Sign-ins are under way, too (four: a sixth session would end the first), and one client is
         * in the middle of a body. */
        const signing = Array.from({ length: 4 }, () => new Client(server.url).post("/api/v1/session", school.account, { noRecord: true }).catch(() => null));
        const half = await open(server.port);
        half.on("error", () => {});
        half.write(`POST /api/v1/session HTTP/1.1\r\nHost: ${host}\r\nContent-Type: application/json\r\nContent-Length: 50\r\n\r\n{"na`);
        await pause(300);
        const began = Date.now();
        assert.equal(await server.stop(), 0, server.stderr().slice(-2000));
        assert.ok(Date.now() - began < 10000, "stops in good time");
        going = false;
        await Promise.all(clients);
        await Promise.all(signing);
        half.destroy();
        assert.ok(refused > 0, "the load went on until the end");
    }
    assert.ok(acknowledged.length > 100, `${acknowledged.length} acknowledged`);
    const again = await startServer(school.data);
    const there = await classNames(await signedIn(again.url, school.account));
    const lost = acknowledged.filter((name) => !there.has(name));
    assert.deepEqual(lost, []);
    assert.equal(await again.stop(), 0);
});

test("slow clients", async (t) => {
    const school = await startSchool({ args: ["--deadline-s", "2"] });
    t.after(() => school.stop());
    const host = `127.0.0.1:${school.port}`;

    /* A byte every half second until the server hangs up; the time that took. */
    const drip = async (start, n = 60) => {
        const socket = await open(school.port);
        const began = Date.now();
        let over = false, text = "";
        socket.on("error", () => { over = true; });
        socket.on("close", () => { over = true; });
        socket.on("data", (d) => { text += d; });
        socket.write(start);
        for (let i = 0; i < n && !over; i += 1) {
            await pause(500);
            if (!over) {
                socket.write("a");
            }
        }
        socket.destroy();
        return { over, ms: Date.now() - began, text };
    };

    await t.test("a byte every half second: cut at the deadline, in headers and in the body", async () => {
        const body = `POST /api/v1/session HTTP/1.1\r\nHost: ${host}\r\nContent-Type: application/json\r\nContent-Length: 2000\r\n\r\n{"`;
        const [line, header, inBody, nothing] = await Promise.all([
            drip("G"), drip(`GET / HTTP/1.1\r\nHost: ${host}\r\nX-A: `), drip(body),
            raw(school.port, [], { quiet_ms: 8000 })]);
        assert.ok(line.over && line.ms > 1500 && line.ms < 4500, `request line: ${line.ms} ms`);
        assert.ok(header.over && header.ms > 1500 && header.ms < 4500, `headers: ${header.ms} ms`);
        assert.ok(inBody.over && inBody.ms > 3000 && inBody.ms < 7000, `body: ${inBody.ms} ms`);
        assert.ok(nothing.closed && nothing.ms < 4500, `nothing at all: ${nothing.ms} ms`);
    });

    await t.test("a kept-alive connection has the whole deadline for its next request", async () => {
        const socket = await open(school.port);
        const get = `GET /healthz HTTP/1.1\r\nHost: ${host}\r\n\r\n`;
        for (let i = 0; i < 4; i += 1) {
            assert.equal((await ask(socket, get)).status, 200);
            await pause(1200);
        }
        socket.destroy();
    });

    await t.test("200 dripping clients do not hold up the others", async () => {
        const slow = await Promise.all(Array.from({ length: 200 }, async (_, i) => {
            const socket = await open(school.port);
            socket.on("error", () => {});
            socket.write(i % 2 ? "GET / HT" : `POST /quick HTTP/1.1\r\nHost: ${host}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 900\r\n\r\ncode=`);
            return socket;
        }));
        const socket = await open(school.port);
        const times = [];
        for (let i = 0; i < 50; i += 1) {
            times.push((await ask(socket, `GET /healthz HTTP/1.1\r\nHost: ${host}\r\n\r\n`)).ms);
            slow.forEach((s, k) => k % 50 === i % 50 && !s.destroyed && s.write("a"));
        }
        times.sort((a, b) => a - b);
        assert.ok(times[45] < 200, `nine in ten within ${times[45]} ms`);
        slow.forEach((s) => s.destroy());
        socket.destroy();
    });

    await t.test("an answer that nobody reads is given up", async () => {
        const socket = await open(school.port);
        socket.on("error", () => {});
        socket.pause();
        socket.write(`GET /api/v1/openapi.json HTTP/1.1\r\nHost: ${host}\r\n\r\n`.repeat(40));
        await pause(500);
        assert.equal((await raw(school.port, `GET /healthz HTTP/1.1\r\nHost: ${host}\r\nConnection: close\r\n\r\n`)).text.slice(9, 12), "200");
        socket.destroy();
    });
});

test("more connections than there is room for are told so", async (t) => {
    const school = await startSchool({ args: ["--max-connections", "20", "--deadline-s", "4"] });
    t.after(() => school.stop());
    const host = `127.0.0.1:${school.port}`;
    const get = `GET /healthz HTTP/1.1\r\nHost: ${host}\r\n\r\n`;
    const held = await Promise.all(Array.from({ length: 20 }, () => open(school.port)));
    for (const one of held) { /* each is taken in by the server before the next comes */
        assert.equal((await ask(one, get)).status, 200);
    }
    const [extra] = answers((await raw(school.port, get)).text);
    assert.equal(extra.status, 503);
    assert.match(extra.headers["retry-after"], /^[1-9]/);
    held.forEach((s) => s.destroy());
    await pause(300);
    assert.equal(answers((await raw(school.port, get, { quiet_ms: 300 })).text)[0].status, 200);
});

test("the request rate of one client", async (t) => {
    const school = await startSchool({ rate: 5 });
    t.after(() => school.stop());
    const anon = new Client(school.url);
    const got = await Promise.all(Array.from({ length: 40 }, () => anon.get("/api/v1/session", { noRecord: true })));
    const late = got.filter((a) => a.status === 429);
    assert.ok(late.length >= 15 && late.length <= 26, `${late.length} of 40 turned away`);
    assert.match(late[0].headers["retry-after"], /^[1-9]/);
    const pages = await Promise.all(Array.from({ length: 40 }, () => anon.get("/", { noRecord: true })));
    assert.ok(pages.every((a) => a.status === 200), "files are not counted");
});
