// The board's line on a pseudo-terminal, which node cannot open by itself: pty_bridge.py does.
import { spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';

const BRIDGE = fileURLToPath(new URL('pty_bridge.py', import.meta.url));
const RATE = '115200';

// `received(bytes)` gets what the host sends, `opened(bool)` whether it has the port open. `named(path)`
// is called once.
export function openPort({ minded, received, opened, named }) {
  const options = minded ? [RATE] : [];
  const bridge = spawn(process.env.PYTHON ?? 'python3', [BRIDGE, ...options], {
    stdio: ['pipe', 'pipe', 'inherit', 'pipe'],
  });
  bridge.stdin.on('error', () => {}); // the bridge has ended, and so will this
  bridge.stdout.on('data', received);
  createInterface({ input: bridge.stdio[3] }).on('line', (line) => {
    if (line.startsWith('pty ')) named(line);
    else opened(line === 'open');
  });
  return {
    send: (bytes) => bridge.stdin.write(bytes),
    close: () => bridge.stdin.end(),
  };
}
