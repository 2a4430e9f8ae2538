import { render } from 'preact';
import { App } from './app.tsx';
import { followAddress } from './state.ts';

followAddress();
const place = document.getElementById('viewer');
if (place !== null) render(<App />, place);
