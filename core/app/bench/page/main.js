/** Starts the page: state, followers, and one function that draws it all. */
import {h, show} from './lib/dom.js';
import {watchReach} from './lib/api.js';
import {recall, remember} from './lib/memory.js';
import {change, listen, state} from './bench/state.js';
import {follow, openWork, reloadBoot, redo, takeWork, undo} from './bench/work.js';
import {followPhoto} from './bench/photo.js';
import {followLight} from './bench/find.js';
import {followReadings} from './bench/reading.js';
import {followAdvice} from './bench/advice.js';
import {followBait} from './bench/bait.js';
import {followPlan} from './bench/plan.js';
import {followSwirl} from './bench/swirl.js';
import {followKept} from './bench/pour.js';
import {mixView} from './views/mix.js';
import {showStage} from './views/the-stage.js';
import {targetsView} from './views/targets.js';
import {batchesView, enterBatch, enterBatches} from './views/batches.js';
import {bottlesView} from './views/bottles.js';
import {chipsView, enterChips} from './views/chips.js';
import {planView} from './views/plan.js';
import {sheetView} from './views/sheet.js';
import {turnView} from './views/turn.js';
import {enterSettings, settingsView} from './views/settings.js';
import {pairView} from './views/pair.js';
import {chooserContent} from './views/chooser.js';
import {header, nav, VIEW_NAMES} from './views/header.js';
import {alerts, followNotes, messages} from './views/messages.js';
import {nextBar} from './views/next-bar.js';
import {button, note} from './views/parts.js';

const VIEWS = {
  mix: mixView,
  targets: targetsView,
  batches: batchesView,
  bottles: bottlesView,
  plan: planView,
  sheet: sheetView,
  turn: turnView,
  settings: settingsView,
};
const place = (id) => document.getElementById(id);

/* ---- where one is */

function readRoute() {
  const [view, arg = ''] = location.hash.replace(/^#\/?/, '').split('/');
  if (view === 'batch') return {view: 'batches', arg: '', batch: Number(arg)};
  return {view: view in VIEWS ? view : 'mix', arg};
}

function enter() {
  if (!state.boot) return;
  if (state.route.batch) enterBatch(state.route.batch);
  else if (state.route.view === 'batches') enterBatches();
  if (state.route.view === 'settings') enterSettings();
  if (state.route.view === 'bottles' && state.route.arg === 'chips') enterChips();
}

function goTo() {
  const route = readRoute();
  const moved =
    route.view !== state.route.view || route.arg !== state.route.arg || route.batch !== state.route.batch;
  change({route, note: state.note?.bad ? state.note : null});
  enter();
  if (!moved) return;
  place('main').scrollTo(0, 0);
  setTimeout(() => place('view-title')?.focus({preventScroll: true}), 0);
}

/* ---- drawing */

function content() {
  if (!state.paired) return pairView(boot);
  if (state.bootError)
    return h(
      'section',
      {key: 'error', class: 'narrow'},
      h('h2', {}, 'The bench does not answer'),
      note(state.bootError, 'bad'),
      button('Try again', boot),
    );
  if (!state.boot) return h('p', {key: 'wait', class: 'soft'}, 'Setting up the bench.');
  if (state.route.view === 'bottles' && state.route.arg === 'chips') return chipsView();
  return VIEWS[state.route.view]();
}

function showChooser() {
  const dialog = place('chooser');
  if (state.chooser && state.boot) show(dialog, chooserContent().flat(Infinity).filter(Boolean));
  if (state.chooser && !dialog.open) dialog.showModal();
  if (!state.chooser && dialog.open) dialog.close();
}

const list = (parts) => [parts].flat(Infinity).filter(Boolean);

function draw() {
  if (state.route.view === 'mix' && state.work) showStage();
  show(place('header'), list(header()));
  show(place('nav'), list(nav()));
  show(place('main'), list(content()));
  show(place('alerts'), list(alerts()));
  show(place('notes'), list(messages()));
  show(place('next'), list(nextBar()));
  showChooser();
  document.title = `${state.work ? `${state.work.name}, ` : ''}${VIEW_NAMES[state.route.view]} \u2013 Dropwise`;
}

/* ---- starting */

async function boot() {
  try {
    const now = await reloadBoot();
    change({bootError: ''});
    const wanted = recall('work');
    const other = wanted !== now.work?.id && now.works?.some((w) => w.id === wanted);
    if (!(other && (await openWork(wanted))) && now.work) {
      takeWork(now.work);
      follow();
    }
    enter();
  } catch (error) {
    if (error.status === 401) change({paired: false, bootError: ''});
    else change({bootError: error.message});
  }
}

function followWork() {
  let last = null;
  listen(() => {
    if (!state.work || state.work.id === last) return;
    last = state.work.id;
    remember('work', last);
  });
}

document.addEventListener('keydown', (event) => {
  const typing = event.target.closest?.('input, select, textarea');
  if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 'z' && !typing) {
    event.preventDefault();
    if (event.shiftKey) redo();
    else undo();
  }
});
/* A photo dropped beside its place must not replace the page. */
for (const type of ['dragover', 'drop']) document.addEventListener(type, (event) => event.preventDefault());
place('chooser').addEventListener('close', () => state.chooser && change({chooser: false}));
window.addEventListener('hashchange', goTo);
/* Another tab may have changed what is aimed for meanwhile. */
window.addEventListener('focus', () => state.boot && reloadBoot().catch(() => {}));

watchReach((away) => away !== state.away && change({away}));
followPhoto();
followLight();
followReadings();
followAdvice();
followBait();
followPlan();
followSwirl();
followWork();
followNotes();
followKept();
listen(draw);
change({route: readRoute()});
boot();
