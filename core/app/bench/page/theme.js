/*
 * Light or dark, as chosen on this device or else as the device itself is. Runs before the first paint, so that nothing
 * flashes; main.js tells by the event `theme` that another was chosen.
 */
{
  const device = matchMedia('(prefers-color-scheme: dark)');
  const chosen = () => {
    try {
      const theme = JSON.parse(localStorage.getItem('dropwise.theme') ?? 'null');
      return theme === 'light' || theme === 'dark' ? theme : null;
    } catch {
      return null; // no storage
    }
  };
  const turn = () => {
    document.documentElement.dataset.theme = chosen() ?? (device.matches ? 'dark' : 'light');
  };
  device.addEventListener('change', turn);
  window.addEventListener('theme', turn);
  turn();
}
