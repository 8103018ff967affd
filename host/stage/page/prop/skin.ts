/** What the prop is painted with: the page's own colours, light or dark, as materials that take new ones. */
import * as THREE from 'three';

const NAMES = ['paper', 'card', 'ink', 'soft', 'edge', 'delivered', 'stop'] as const;
export type Skin = Readonly<Record<(typeof NAMES)[number], THREE.Color>>;

/** @param read a style sheet's variable, such as `--ink` */
export function skinFrom(read: (variable: string) => string): Skin {
  const colour = (name: string): THREE.Color => new THREE.Color(read(`--${name}`).trim() || '#888888');
  return Object.fromEntries(NAMES.map((name) => [name, colour(name)])) as Skin;
}

/** Stripes aslant that repeat: white on clear, to be tinted. Side in px, a power of two. */
function stripes(side: number): THREE.DataTexture {
  const pixels = new Uint8Array(4 * side * side).fill(255);
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++) if ((x + y) % side >= side * 0.45) pixels[4 * (y * side + x) + 3] = 70;
  const texture = new THREE.DataTexture(pixels, side, side);
  texture.wrapS = texture.wrapT = THREE.RepeatWrapping;
  texture.repeat.set(3, 12);
  texture.needsUpdate = true;
  return texture;
}

const lit = (): THREE.MeshLambertMaterial => new THREE.MeshLambertMaterial();

function materials() {
  return {
    part: lit(),
    face: lit(),
    pale: lit(),
    lid: lit(),
    white: lit(),
    dark: lit(),
    plate: lit(),
    /** What carries the head: there, and looked through. */
    body: new THREE.MeshLambertMaterial({ transparent: true, opacity: 0.2, depthWrite: false }),
    thread: new THREE.LineBasicMaterial({ transparent: true, opacity: 0.8 }),
    crank: lit(),
    rod: lit(),
    arm: lit(),
    /** Of a limb that is asked for more torque than there is. */
    short: new THREE.MeshBasicMaterial({ map: stripes(16), transparent: true }),
    stopped: lit(),
    notch: new THREE.MeshBasicMaterial(),
    tick: new THREE.MeshBasicMaterial(),
    floor: new THREE.MeshBasicMaterial(),
    contour: new THREE.MeshBasicMaterial({ side: THREE.BackSide }),
  };
}
export type Paints = ReturnType<typeof materials>;

export const paintsOf = (skin: Skin): Paints => painted(materials(), skin);

/** The same materials in other colours. */
export function painted(paints: Paints, skin: Skin): Paints {
  const mixed = (a: THREE.Color, b: THREE.Color, share: number): THREE.Color => a.clone().lerp(b, share);
  const isDark = skin.paper.getHSL({ h: 0, s: 0, l: 0 }).l < 0.5;
  paints.part.color = mixed(skin.paper, skin.delivered, isDark ? 0.5 : 0.24);
  paints.face.color = mixed(skin.paper, skin.delivered, isDark ? 0.75 : 0.6);
  paints.pale.color = mixed(skin.paper, skin.delivered, isDark ? 0.62 : 0.1);
  paints.lid.color = mixed(skin.paper, skin.delivered, isDark ? 0.4 : 0.38);
  paints.white.color = isDark ? skin.ink.clone() : new THREE.Color('#ffffff');
  paints.dark.color = isDark ? skin.paper.clone() : skin.ink.clone();
  paints.plate.color = mixed(skin.paper, skin.delivered, isDark ? 0.65 : 0.45);
  paints.body.color = skin.edge.clone();
  paints.thread.color = skin.edge.clone();
  paints.crank.color = mixed(skin.paper, skin.ink, 0.8);
  paints.rod.color = skin.delivered.clone();
  paints.arm.color = mixed(skin.paper, skin.soft, 0.7);
  paints.short.color = skin.stop.clone();
  paints.stopped.color = skin.stop.clone();
  paints.notch.color = skin.paper.clone();
  paints.tick.color = skin.soft.clone();
  paints.floor.color = skin.card.clone();
  paints.contour.color = isDark ? mixed(skin.paper, skin.delivered, 0.85) : skin.delivered.clone();
  return paints;
}
