import { render } from 'preact';

import { App } from './app';
import { Session } from './session';
import './style/ground.css';
import './style/parts.css';
import './style/drawing.css';

const session = new Session();
const place = document.getElementById('page');
if (place) render(<App session={session} />, place);
session.start();
