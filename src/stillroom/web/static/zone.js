// A new place most often keeps the clock of the machine that shows the form.
const zone = document.querySelector('[name=zone]');
if (zone && !zone.value) zone.value = Intl.DateTimeFormat().resolvedOptions().timeZone ?? '';
