// What a person does at the bench, each step ended by what he then sees.
import {settledReadings} from './marking-hands.mjs';

export async function makePattern(page, name) {
  await page.getByLabel('Name of the pattern').first().fill(name);
  await page.getByRole('button', {name: 'Put it on the bench'}).first().click();
  await page.locator('.empty-stage').waitFor();
}

/** A sample photo with its marks, on a book that is empty. */
export async function trySample(page) {
  await page.locator('[data-do=sample]').click();
  await settledReadings(page, 3);
}

/** Aims for the colors of the photo. Each layer has its advice. */
export async function aimForPhoto(page, layers = ['back', 'middle', 'belly']) {
  await page.locator('[data-next=targets]').click();
  for (const layer of layers) await page.locator(`[data-layer=${layer}]:not(.waits)`).getByText(/^Add /).waitFor();
}

/** Opens a layer of the stack. @returns {Promise<Object>} what is to be done with its cup */
export async function openCup(page, layer) {
  await page.locator(`[data-layer=${layer}]`).click();
  const cup = page.locator(`#cup-${layer}`);
  await cup.waitFor();
  return cup;
}

export const cupHolds = async (page, layer) => (await openCup(page, layer)).locator('.holds').textContent();

/** Pours what the cup says to add. @returns {Promise<string>} what was logged: "3 brown, 1 orange" */
export async function pourIt(page, layer) {
  await (await openCup(page, layer)).locator(`[data-pour=${layer}]`).click();
  const logged = page.locator('#notes').getByText(new RegExp(`^Logged: .* into the ${layer} cup`));
  const said = await logged.textContent();
  return said.match(/^Logged: (.*) into the /)[1];
}

/** A mold of four baits, at the view of the plan. */
export async function addMold(page, name) {
  if (await page.locator('[data-do=add-mold]').isVisible()) await page.locator('[data-do=add-mold]').click();
  const form = page.locator('.mold-form');
  await form.getByLabel('Name').fill(name);
  await form.getByLabel('Cavities').fill('4');
  await form.getByLabel('One bait takes').fill('9');
  await form.getByLabel('Runner and sprue take').fill('6');
  await form.locator('[name=unit]').selectOption('ml');
  await form.locator('[name=sprue]').selectOption('away');
  await form.getByRole('button', {name: 'Keep the mold'}).click();
  await page.locator('.plan-cup').first().waitFor();
}

/* What a view shows once it has all it needs. */
const READY = {
  targets: '.target',
  batches: '.strip, #main p:text("None has been read yet")',
  bottles: '.bottle',
  'bottles/chips': '#main .empty-stage, #main .chips',
  plan: '#molds-title',
  sheet: '.sheet table',
  settings: '#theme-title',
  mix: '.stack',
};

/* The sheet has no tab of its own. */
const TAB = {sheet: 'plan'};

/** Ends when the view is there, not the one before it. */
export async function viewIs(page, view) {
  const [name] = view.split('/');
  await page.locator(`#nav a[href="#${TAB[name] ?? name}"][aria-current=page]`).waitFor();
  await page.locator(READY[view]).first().waitFor();
}
