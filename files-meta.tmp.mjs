import { build } from 'esbuild';
import { BUNDLE } from './host/build/bundle.mjs';
const {metafile:m} = await build({...BUNDLE, write:false});
const outs=m.outputs; 
const entry=Object.keys(outs).find(k=>k.endsWith('posewright.mjs'));
const stat=(k,seen=new Set())=>{ if(seen.has(k))return seen; seen.add(k); for(const i of outs[k].imports) if(i.kind==='import-statement'&&outs[i.path]) stat(i.path,seen); return seen;};
const by=(n)=>Object.keys(outs).find(k=>outs[k].entryPoint===n);
const show=(...ks)=>{const seen=new Set();ks.forEach(k=>stat(k,seen));const g={};let t=0;for(const k of seen)for(const[f,v]of Object.entries(outs[k].inputs)){const mm=/node_modules\/((@[^/]+\/)?[^/]+)/.exec(f);const n=mm?mm[1]:f;g[n]=(g[n]??0)+v.bytesInOutput;t+=v.bytesInOutput}
console.log(t, Object.entries(g).sort((a,b)=>b[1]-a[1]).map(e=>e.join(':')).join(' '))};
show(entry); show(entry,by('host/cli/main.ts')); show(entry,by('host/cli/main.ts'),by('host/cli/check.ts'));
const z={};for(const k in outs)for(const[f,v]of Object.entries(outs[k].inputs)) if(/zod/.test(f)) z[f]=v.bytesInOutput; console.log(Object.entries(z).sort((a,b)=>b[1]-a[1]).slice(0,12));
