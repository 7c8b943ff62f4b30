/* Runs before the first paint, so that a chosen workshop mode doesn't flash. */
try {
  const theme = JSON.parse(localStorage.getItem('pourtone.theme') ?? 'null');
  if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
} catch {
  // No storage: the device's own mode.
}
