// What the virtual board prints: times are in microseconds since power came on.

const BYTES_A_LINE = 64;

export class Said {
  constructor() {
    this.text = '';
    this.line = '';
    this.bytes = 0;
  }

  byte(byte, nanos) {
    this.bytes++;
    if (!this.line) this.lineAt = nanos;
    this.line += byte.toString(16).padStart(2, '0');
    if (this.line.length >= 2 * BYTES_A_LINE) this.endLine();
  }

  endLine() {
    if (this.line) this.text += `tx ${us(this.lineAt)} ${this.line}\n`;
    this.line = '';
  }

  lamp(lit, nanos) {
    this.text += `lamp ${us(nanos)} ${Number(lit)}\n`;
  }

  at(nanos) {
    this.endLine();
    this.text += `at ${us(nanos)}\n`;
    this.flush();
  }

  flush() {
    process.stdout.write(this.text);
    this.text = '';
  }

  report(values) {
    this.endLine();
    for (const [name, value] of [...values, ['uart_bytes', this.bytes]]) {
      this.text += `report ${name} ${value}\n`;
    }
    this.flush();
  }
}

function us(nanos) {
  return (nanos / 1000).toFixed(4);
}
