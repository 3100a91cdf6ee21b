// Every constant of a robot with its value and how sure it is.

import type { Constant, SettingsAnswer } from '../contract';
import { decimalsFor, plain } from '../numbers';
import { words } from '../words';

export type NamedConstant = Constant & { key: string };

// The answer holds other things beside the constants; a constant is what bears a mean, an interval and a meaning.
export function constantsOf(settings: SettingsAnswer): NamedConstant[] {
  return Object.entries(settings).flatMap(([key, value]) => {
    const c = value as Partial<Constant> | null;
    return typeof c?.mean === 'number' && typeof c.meaning === 'string' ? [{ ...(c as Constant), key }] : [];
  });
}

export function ConstantsTable({ settings }: { settings: SettingsAnswer }) {
  return (
    <div class="wide-table" tabIndex={0} role="region" aria-label={words.settingsTitle}>
      <table>
        <thead>
          <tr>
            <th scope="col">{words.constant}</th>
            <th scope="col" class="number">
              {words.value}
            </th>
            <th scope="col" class="number">
              {words.range}
            </th>
          </tr>
        </thead>
        <tbody>
          {constantsOf(settings).map((c) => {
            const decimals = decimalsFor(c.low, c.high);
            return (
              <tr key={c.key}>
                <th scope="row">
                  {c.meaning}
                  {c.assumed && <em> {words.assumedMark}</em>}
                </th>
                <td class="number">
                  {plain(c.mean, decimals)} {c.unit}
                </td>
                <td class="number">
                  {plain(c.low, decimals)} … {plain(c.high, decimals)}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </div>
  );
}
