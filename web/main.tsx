import { render } from 'preact';

const place = document.getElementById('viewer');
if (place !== null) render(<p>Sowtrace</p>, place);
