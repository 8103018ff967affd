import { describe, expect, it } from 'vitest';
import { leadingComments } from '../../../host/stream/comments.ts';
import { readStream } from '../../../host/stream/read.ts';
import { StreamWriter } from '../../../host/stream/write.ts';
import { bytes, owl } from './fixtures.ts';

describe('writing a stream', () => {
  it('gives back what was read, in the order of its columns', async () => {
    const text = 't_s,lid_deg,yaw_deg,x_mm\n0,0,-28.9507,1.147\n0.008333,12.5,0,-0.000001\n';
    const columns = ['t_s', 'lid_deg', 'yaw_deg', 'x_mm'];
    const writer = new StreamWriter(owl, columns);
    let written = writer.header;
    for await (const { frames } of readStream([bytes(text)], owl))
      for (const { t_s, pose, joints } of frames) written += writer.row(t_s, [...pose, ...joints]);
    expect(written).toBe(text);
  });

  it('leaves out what is no column of the rig, and never writes -0', () => {
    const writer = new StreamWriter(owl, ['t_s', 'tail_deg', 'x_mm']);
    expect(writer.header).toBe('t_s,x_mm\n');
    expect(writer.row(1.0000004, [-1e-9])).toBe('1,0\n');
  });
});

describe('the comments that open a stream', () => {
  it('are those before the header', async () => {
    const text = '# a head\n\n# of a person, free for all uses\r\nt_s,x_mm\n0,0\n# not this\n1,1\n';
    expect(await leadingComments([bytes(text)])).toEqual(['# a head', '# of a person, free for all uses']);
    expect(await leadingComments([bytes('t_s\n0\n')])).toEqual([]);
  });
});
