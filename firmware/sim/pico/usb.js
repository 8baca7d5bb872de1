// A computer at the board's USB socket. rp2040js plays the one that finds out what the device is. What
// a program at the port does comes from here: while none has it open, nobody takes the board's data.
import { USBCDC } from 'rp2040js';

const DATA_ENDPOINT = 2;

export class Usb {
  // `heard(byte)` gets what the board sends.
  constructor(chip, heard) {
    this.usb = chip.usbCtrl;
    this.heard = heard;
    this.isOpen = true;
    this.untaken = null;
    this.in = [];
    this.wanted = 0;
    this.cdc = new USBCDC(this.usb);
    this.cdc.onSerialData = (bytes) => this.took(bytes);
    this.ready = this.usb.indicateBufferReady.bind(this.usb);
    this.usb.indicateBufferReady = (endpoint, out) => {
      if (endpoint !== DATA_ENDPOINT || out || this.isOpen) this.ready(endpoint, out);
    };
    this.usb.onEndpointRead = (endpoint, size) => {
      if (endpoint === DATA_ENDPOINT) this.wanted = size;
      else this.usb.endpointReadDone(endpoint, new Uint8Array(0));
      this.give();
    };
  }

  took(bytes) {
    if (this.isOpen) bytes.forEach(this.heard);
    else this.untaken = bytes.length;
  }

  // The packet that waited is taken first of all.
  open(isOpen) {
    this.isOpen = isOpen;
    if (!isOpen || this.untaken === null) return;
    const at = this.usb.getEndpointBufferOffset(DATA_ENDPOINT, false);
    this.usb.rp2040.usbDPRAM.slice(at, at + this.untaken).forEach(this.heard);
    this.untaken = null;
    this.ready(DATA_ENDPOINT, false);
  }

  receive(bytes) {
    for (const byte of bytes) this.in.push(byte);
    this.give();
  }

  give() {
    if (!this.wanted || !this.in.length) return;
    this.usb.endpointReadDone(DATA_ENDPOINT, Uint8Array.from(this.in.splice(0, this.wanted)));
    this.wanted = 0;
  }
}
