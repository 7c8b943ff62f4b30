/** The stage of the bench: what of the state it shows, and placing marks by keys. */
import {parseShape} from '../lib/shape.js';
import {state} from '../bench/state.js';
import {
  addCorner,
  cornersOf,
  drawn,
  foundHere,
  hasMark,
  layerId,
  placeCard,
  removeMark,
  select,
  setMark,
  unmarked,
} from '../bench/marks.js';
import {Stage} from '../photo/stage.js';

export const stage = new Stage({
  change: setMark,
  drawn,
  point: addCorner,
  select,
  remove: (id) => removeMark(id),
});

/** Whether the next drag draws what is selected. */
const drawing = () => state.selected !== null && (state.redraw || !hasMark(state.selected));

/** Puts what is selected in the middle, for those who go by keys. */
export function placeInMiddle() {
  const id = state.selected ?? unmarked()[0];
  if (!id || !state.photo) return;
  if (id !== state.selected) select(id);
  if (id === 'card') placeCard();
  else {
    drawn(stage.handyShape(state.tool));
    select(id);
  }
  setTimeout(() => stage.focusMark(id), 30);
}

function readingOf(name) {
  const {reading, error} = state.readings[name] ?? {};
  if (error) return {words: error, says: 'not read'};
  if (!reading) return {words: ''};
  const doubt = Boolean(reading.on_board);
  const says = doubt ? 'the board?' : (reading.words ?? '');
  return {words: `reads ${says || 'a color'}`, says, lab: reading.lab, doubt};
}

/** The baits that could be chosen instead. */
function otherBaits() {
  const {baits, bait: chosen} = foundHere();
  return baits.flatMap((bait, i) =>
    i === chosen
      ? []
      : [{id: `bait:${i}`, label: `Bait ${i + 1}`, shape: parseShape(bait.outline), compact: true, faint: true}],
  );
}

function stageMarks() {
  const {card, gray, layers} = state.marks;
  const out = [];
  if (state.selected === 'card' && (state.corners.length > 0 || state.redraw || (!card && state.photo)))
    out.push({id: 'card', label: 'Card', corners: state.corners});
  else if (card) out.push({id: 'card', label: 'Card', corners: cornersOf(card)});
  if (gray) out.push({id: 'gray', label: 'Gray', shape: parseShape(gray.shape)});
  for (const l of layers)
    out.push({id: layerId(l.name), label: l.name, shape: parseShape(l.shape), ...readingOf(l.name)});
  return [...otherBaits(), ...out].filter((mark) => mark.corners || mark.shape);
}

let lastClasses = null;
let classesFrom = null;
/** The same list as long as the readings are the same, so that it is drawn once. */
function classes() {
  if (!state.aside) return null;
  if (classesFrom !== state.readings) {
    classesFrom = state.readings;
    lastClasses = Object.values(state.readings)
      .map((r) => r.reading?.classes)
      .filter(Boolean);
  }
  return lastClasses;
}

export function showStage() {
  const id = state.selected;
  const draw = !drawing() ? null : id === 'card' ? 'point' : id === 'gray' ? 'rect' : state.tool;
  const what = state.photo
    ? `Photo of the bait with ${state.marks.card ? 'the card' : 'no card'} and ${state.marks.layers.length} layers marked`
    : 'No photo';
  stage.show({
    photo: state.photo,
    marks: stageMarks(),
    selected: id,
    draw,
    grid: state.corners.length ? null : state.light.grid,
    classes: classes(),
    readOnly: false,
    alt: what,
  });
}
