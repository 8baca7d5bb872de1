// A UF2 file: blocks of 512 bytes, each with where its bytes belong in the flash.

const BLOCK = 512;
const MAGICS = [
  [0, 0x0a324655],
  [4, 0x9e5d5157],
  [28, 0xe48bff56], // the family RP2040
  [508, 0x0ab16f30],
];
const FLASH = 0x10000000;
const NO_IMAGE = 'this is no firmware for the board rp2040';

// Pairs of an offset in the flash and the bytes there. Throws if this is no image for the chip.
export function readUf2(file) {
  const parts = [];
  if (!file.length || file.length % BLOCK) throw new Error(NO_IMAGE);
  for (let at = 0; at < file.length; at += BLOCK) {
    if (MAGICS.some(([offset, magic]) => file.readUInt32LE(at + offset) !== magic)) {
      throw new Error(NO_IMAGE);
    }
    const size = file.readUInt32LE(at + 16);
    parts.push([file.readUInt32LE(at + 12) - FLASH, file.subarray(at + 32, at + 32 + size)]);
  }
  return parts;
}
