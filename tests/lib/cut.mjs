/* SPDX-License-Identifier: MIT
 * A way to the server that a test can cut: a plain TCP relay with a fixed address in front of a
 * server that may come and go. A browser's own switch leaves a service worker its network. */

import net from "node:net";
import { startServer, makeSchool } from "./server.mjs";

/* {port, url, mode, to, seen, close()}. `mode`:
 *   "open"    everything passes
 *   "cut"     nobody gets through, and whoever was through is thrown out
 *   "before"  sending tries is cut off before a byte of it has passed
 *   "during"  ... after the first half of it has passed
 *   "away"    a proxy says that the server is away (502)
 *   "after"   ... when the server has answered and before a byte of the answer has passed
 * `sending` tells the first line of a request that sends; `seen` counts the times that it was begun. */
export async function startRelay() {
    const relay = { mode: "open", to: 0, seen: 0, sending: /^POST \/api\/v1\/hand-ins HTTP/ };
    const through = new Set();
    const server = net.createServer((near) => {
        if (relay.mode === "cut") {
            near.destroy();
            return;
        }
        if (relay.mode === "away") {
            near.on("error", () => near.destroy());
            near.once("data", () => near.end("HTTP/1.1 502 Bad Gateway\r\nContent-Type: text/html\r\nContent-Length: 4\r\nConnection: close\r\n\r\naway"));
            return;
        }
        const far = net.connect(relay.to, "127.0.0.1");
        let mute = false;
        const end = () => {
            near.destroy();
            far.destroy();
            through.delete(end);
        };
        through.add(end);
        near.on("data", (d) => {
            const sending = relay.sending.test(d.toString("latin1", 0, 80));
            relay.seen += sending ? 1 : 0;
            if (sending && relay.mode === "before") {
                end();
            } else if (sending && relay.mode === "during") {
                far.end(d.subarray(0, d.length - 20));
                setTimeout(end, 50);
            } else {
                mute = mute || (sending && relay.mode === "after");
                far.write(d);
            }
        });
        far.on("data", (d) => (mute ? end() : near.write(d)));
        for (const socket of [near, far]) {
            socket.on("error", end);
            socket.on("close", end);
        }
    });
    await new Promise((done) => server.listen(0, "127.0.0.1", done));
    relay.port = server.address().port;
    relay.url = `http://127.0.0.1:${relay.port}`;
    relay.set = (mode) => {
        relay.mode = mode;
        if (mode === "cut" || mode === "away") {
            through.forEach((end) => end());
        }
    };
    relay.close = () => {
        through.forEach((end) => end());
        return new Promise((done) => server.close(done));
    };
    return relay;
}

/* A school behind such a relay: {url, relay, start(more), stop(), account, data}. `more`: as for a server. */
export async function startBehindRelay() {
    const school = makeSchool();
    const relay = await startRelay();
    const s = { ...school, relay, url: relay.url };
    s.start = async (more) => {
        s.server = await startServer(school.data, { args: ["--origin", relay.url], more });
        relay.to = s.server.port;
    };
    s.kill = () => s.server.kill();
    s.stop = async () => {
        await relay.close();
        const code = await s.server.stop();
        school.remove();
        if (code !== 0) {
            throw new Error(`the server ended with ${code}: ${s.server.stderr().slice(-4000)}`);
        }
    };
    await s.start();
    return s;
}
