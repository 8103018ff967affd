/** Fetches the meshes of the rig's parts, one after another. Where one does not come, or is none, its part stays a box. */
import type * as THREE from 'three';
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js';
import type { Rig } from '../../../rig/rig.ts';
import { meshFilesOf } from '../../meshes.ts';

/** @param show is called with each mesh that has come, in its own frame, mm */
export async function fetchMeshes(rig: Rig, show: (file: string, mesh: THREE.BufferGeometry) => void): Promise<void> {
  for (const file of meshFilesOf(rig)) {
    try {
      const response = await fetch(`meshes/${file.split('/').map(encodeURIComponent).join('/')}`);
      if (response.ok) show(file, new STLLoader().parse(await response.arrayBuffer()));
    } catch {
      // The box says how large it is and where.
    }
  }
}
