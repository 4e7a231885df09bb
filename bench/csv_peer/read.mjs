// Reads the log of bench/csv_bench (one hour, 60 channels at 20 Hz) with the CSV reader of a general analytical database,
// into a table in memory, with one and with two threads. Prints the best of several runs in MB/s, as JSON.
// usage: node read.mjs FILE.csv   (writes the file where it does not exist)
import { existsSync, statSync, writeFileSync } from 'node:fs';
import { DuckDBInstance } from '@duckdb/node-api';

const CHANNELS = 60;
const ROWS = 72_000;
const RUNS = 5;

// The same generator, seed and digits as in csv_bench.cpp.
function oneHour() {
  let state = 1n;
  const level = () => {
    state = BigInt.asUintN(64, state * 6364136223846793005n + 1442695040888963407n);
    return Number(state >> 40n) / 2 ** 24;
  };
  const write = [
    (x) => (800 + 6000 * x).toFixed(0),
    (x) => (130 * x - 10).toFixed(1),
    (x) => (90 + 150 * x).toFixed(2),
    (x) => (0.7 + 0.5 * x).toFixed(3),
  ];
  const lines = ['time_s' + Array.from({ length: CHANNELS }, (_, c) => `,channel ${c} [kPa]`).join('')];
  for (let row = 0; row < ROWS; ++row) {
    let line = (row / 20).toFixed(2);
    for (let c = 0; c < CHANNELS; ++c) line += ',' + write[c % 4](level());
    lines.push(line);
  }
  return lines.join('\n') + '\n';
}

async function megabytesPerSecond(file, threads) {
  const instance = await DuckDBInstance.create(':memory:', { threads: String(threads) });
  const connection = await instance.connect();
  let best = Infinity;
  for (let run = 0; run < RUNS; ++run) {
    const begin = process.hrtime.bigint();
    await connection.run(`CREATE OR REPLACE TABLE log AS SELECT * FROM read_csv('${file}', header = true)`);
    best = Math.min(best, Number(process.hrtime.bigint() - begin) * 1e-9);
  }
  const rows = (await connection.runAndReadAll('SELECT count(*) FROM log')).getRows()[0][0];
  if (Number(rows) !== ROWS) throw new Error(`expected ${ROWS} rows, found ${rows}`);
  return statSync(file).size / best / 1e6;
}

const file = process.argv[2];
if (!existsSync(file)) writeFileSync(file, oneHour());
console.log(JSON.stringify({ one: await megabytesPerSecond(file, 1), two: await megabytesPerSecond(file, 2) }));
