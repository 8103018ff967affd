/** What each place is for, and what its keys do, in sentences. */
import type { Place } from '../state.ts';

type Sentences = readonly (readonly [string, string])[];

export const PURPOSES: Readonly<Record<Place, string>> = {
  Hand: 'is for moving the prop by hand, and seeing at once what it can follow.',
  Takes: 'is for time: record a movement, edit it, set it to sound, play it.',
  Effort: 'shows how much of its torque each servo needs along the take.',
  Workshop: 'is for causes and cures: why the take is not followed, limits that the servos can keep, and the board.',
};

export const EVERYWHERE: Sentences = [
  ['Escape', 'settles the prop, and the board, always.'],
  ['?', 'shows and hides this.'],
];

const HAND: Sentences = [
  ['Drag the head', 'moves it; with Shift it turns and nods, with Alt it rolls.'],
  ['Arrow keys', 'turn it left and right, up and down.'],
  ['Shift and arrow keys', 'move it left and right, up and down.'],
  ['Alt and arrow keys', 'roll it, and move it forward and back.'],
  [', and .', 'choose what else moves: each of the six, and each joint.'],
  ['[ and ]', 'move what is chosen down and up.'],
  ['H', 'brings everything home.'],
  ['L', 'shows a point in the room that it looks at: drag the point, or move it with the arrow keys.'],
  ['M', 'swaps left and right.'],
  ['R', 'shows how far each crank may turn.'],
  ['G', 'rouses it.'],
  ['It senses', 'where the rig has responses: work its inputs, and see what it does. A board senses by itself.'],
  ['Drag beside the prop, or W, A, S, D', 'walk around it.'],
  ['Wheel, pinch, + and -', 'come nearer and go back.'],
  ['0', 'goes back to where you first stood.'],
  ['One finger on the head', 'turns it; two fingers move it.'],
];

const TAKES: Sentences = [
  ['Space', 'plays from the cursor, and stops.'],
  ['R', 'records the open lane after four clicks, and ends it. Drag the head or press the arrow keys meanwhile.'],
  ['Arrow keys, Home, End', 'move the cursor; with Alt by one frame.'],
  [
    'Shift and these',
    'choose a stretch, as a drag over the lane does. What can be done with it then stands under the time line.',
  ],
  ['Enter', 'sets a key at the cursor; so does a double click on the lane.'],
  ['K', 'marks a beat at the cursor: retiming keeps its time.'],
  ['+ and -, wheel, pinch', 'show less time and more.'],
  ['Page Up and Page Down', 'go on by half of what is in view.'],
  ['Ctrl Z and Ctrl Y', 'undo and redo, without end.'],
  ['G', 'rouses the prop.'],
  ['Night', 'packs takes as a show that the board plays alone.'],
  [
    'Dashed and solid',
    'what is asked, and what the prop delivers. Between them is hatched where it is not followed: press the word above.',
  ],
];

export const KEYS: Readonly<Record<Place, Sentences>> = { Hand: HAND, Takes: TAKES, Effort: [], Workshop: [] };
