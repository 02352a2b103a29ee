// Her strip: a tap on a neighbour means "between", any other tap moves the reading, and each region
// says in words where it lies. Without this file the same boxes are ticked and the server says it.
const THIRDS = ['', '⅓', '⅔'];

export function thirds(stops) {
  const n = Math.floor(Math.abs(stops) * 3 + 0.5), whole = Math.floor(n / 3), part = THIRDS[n % 3];
  return n === 0 ? '0' : `${whole || ''}${part}`;
}

const signed = stops => thirds(stops) === '0' ? 'middle' : `${stops < 0 ? '−' : '+'}${thirds(stops)}`;

function inWords(region, ticked) {
  if (!ticked.length) return '';
  const names = ticked.map(box => box.value);
  if (names.length === 1 && names[0] === 'black') return 'black: darker than the strip can say';
  if (names.length === 1 && names[0] === 'bare') return 'bare paper: lighter than the strip can say';
  const places = ticked.map(box => Number(box.dataset.stops));
  const where = names.length === 2 ? `between ${names[0]} and ${names[1]}` : `step ${names[0]}`;
  if (places.some(Number.isNaN)) return where;
  const at = places.reduce((a, b) => a + b, 0) / places.length, said = `${where}: ${signed(at)}`;
  if (region.dataset.low === undefined) return said;
  const low = Number(region.dataset.low), high = Number(region.dataset.high), off = at - (low + high) / 2;
  if (at >= low && at <= high) return `${said}, as wanted`;
  return `${said}, ${thirds(off)} ${off < 0 ? 'darker' : 'lighter'} than the middle of the brackets`;
}

function start(form) {
  const regions = [...form.querySelectorAll('.reg:not(.face)')], count = form.querySelector('[data-count]');
  const boxes = region => [...region.querySelectorAll('.holes input')];
  const show = region => {
    region.querySelector('[data-say]').textContent = inWords(region, boxes(region).filter(box => box.checked));
  };
  const tally = () => {
    const by = form.elements.namedItem('by').value;
    const worded = region => region.querySelector(`.by-${by === 'words' ? 'words' : 'early'} input:checked:not([value=""])`);
    const read = regions.filter(region => by === 'strip' ? boxes(region).some(box => box.checked)
      : by === 'words' || by === 'early_look' ? worded(region)
        : region.querySelector('.dens input').value.trim()).length;
    regions.forEach(region => { region.querySelector('[data-say]').hidden = by !== 'strip'; });
    if (count) count.textContent = `${read} of ${regions.length} read. None is required; what you leave out counts as can’t tell.`;
  };
  regions.forEach(region => {
    const all = boxes(region);
    all.forEach((box, at) => box.addEventListener('change', () => {
      if (box.checked) {
        const others = all.filter((other, n) => n !== at && other.checked);
        const isBetween = others.length === 1 && Math.abs(all.indexOf(others[0]) - at) === 1;
        if (!isBetween) others.forEach(other => { other.checked = false; });
      }
      show(region);
    }));
    show(region);
  });
  form.addEventListener('change', tally);
  form.addEventListener('input', tally);
  tally();

  // A reason without its answer: "no, because of tones" is one tap.
  form.querySelectorAll('[name=because]').forEach(reason => reason.addEventListener('change', () => {
    if (reason.checked) form.querySelector('[name=box][value=no]').checked = true;
  }));
}

document.querySelectorAll('[data-strip]').forEach(start);
