/** The pins that a night names, as the file has them, whatever is wrong with it. */

type Raw = Readonly<Record<string, unknown>>;

const group = (value: unknown): Raw =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Raw) : {};

/** Who is on which pin, and where the file says so. */
export function nightUsers(given: unknown) {
  const night = group(given);
  const { light_pin, warn_pin, button_pin } = night;
  const user = (who: string, pin: unknown, ...path: string[]) => ({
    who,
    pin,
    path: ['night', ...path],
    assumed: false,
  });
  const named = (key: string, what: string) =>
    Object.entries(group(night[key])).map(([name, pin]) => user(`${what} ${name}`, pin, key, name));
  return [
    user('the light', light_pin, 'light_pin'),
    user('the warning', warn_pin, 'warn_pin'),
    user('the button', button_pin, 'button_pin'),
    ...Object.entries(group(night['inputs'])).map(([name, input]) =>
      user(`the input ${name}`, group(input)['pin'], 'inputs', name, 'pin'),
    ),
    ...named('analog', 'the analog input'),
    ...named('sounds', 'the sound'),
  ];
}
