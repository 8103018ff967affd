/** The meshes that a rig names for the parts that are fitted, and no other file of its folder, for the page to draw them with. */
import type { ReadMesh } from '../rig/mesh/part-mesh.ts';
import type { Rig } from '../rig/rig.ts';

/** By their paths in the rig file, which the rig's own reading has let through. */
export const meshFilesOf = ({ parts }: Rig): readonly string[] => [
  ...new Set(parts.flatMap(({ shape, fitted }) => (fitted && shape?.kind === 'mesh' ? [shape.file] : []))),
];

/** @param read a file beside the rig file. The bytes of a mesh as they are now; null: the rig names none such, or it is not to be read. */
export function namedMeshes(rig: Rig, read: ReadMesh): (file: string) => Uint8Array | null {
  const named = new Set(meshFilesOf(rig));
  return (file) => {
    if (!named.has(file)) return null;
    const bytes = read(file);
    return bytes instanceof Uint8Array ? bytes : null;
  };
}
