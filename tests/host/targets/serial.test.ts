/** What a port that does not open is said to be, by system. The system's own sentences are as serialport 13 passes them on, from memory. */
import { describe, expect, it } from 'vitest';
import { portWords } from '../../../host/targets/serial.ts';

describe('a port that does not open', () => {
  it.each([
    ['linux', 'Error: Permission denied, cannot open /dev/ttyACM0', /group dialout: "sudo usermod -aG dialout \$USER"/],
    ['darwin', 'Error: Permission denied, cannot open /dev/cu.x', /your user may not: "ls -l \/dev\/cu\.\*"/],
    ['win32', 'Opening COM7: Access denied', /another program has it open/],
    ['sunos', 'Error: Permission denied', /your user may not open it/],
    [
      'linux',
      'Error: No such file or directory, cannot open /dev/ttyACM9',
      /is the board plugged in\?.*\/dev\/ttyACM0/,
    ],
    ['darwin', 'Error: No such file or directory', /\/dev\/cu\.usbmodem/],
    ['win32', 'Opening COM9: File not found', /Device Manager/],
    ['linux', 'Error Resource temporarily unavailable Cannot lock port', /is busy/],
    ['linux', 'something else', /^\/dev\/ttyACM0: something else$/],
  ])('on %s: %s', (system, text, words) => {
    expect(portWords('/dev/ttyACM0', new Error(text), system)).toMatch(words);
  });
});
