// Describing a robot, a new one or one that is there: what a ruler and the maker's sheet tell.

import { useState } from 'preact/hooks';

import { api, Refused } from '../api';
import type { RobotDescription, RobotPage } from '../contract';
import { fieldText, parseNumber, parseWhole } from '../numbers';
import type { Session } from '../session';
import { hashOf } from '../state';
import { words } from '../words';
import { Field, More } from './fields';
import { Lead } from './lead';
import { RobotShape } from './marks';

interface Form {
  name: string;
  track_width_mm: string;
  lowest: string;
  highest: string;
  wheel_diameter_mm: string;
  level_usual: string;
  level_full: string;
  move_list_limit: string;
  step_mm: string;
  turn_deg: string;
  circle_radius_mm: string;
}

const formOf = (robot: RobotDescription | null): Form => ({
  name: robot?.name ?? '',
  track_width_mm: fieldText(robot?.track_width_mm),
  lowest: fieldText(robot?.trim_range[0] ?? -30),
  highest: fieldText(robot?.trim_range[1] ?? 30),
  wheel_diameter_mm: fieldText(robot?.wheel_diameter_mm ?? 65),
  level_usual: fieldText(robot?.level_usual ?? 128),
  level_full: fieldText(robot?.level_full ?? 255),
  move_list_limit: fieldText(robot?.move_list_limit ?? 20),
  step_mm: fieldText(robot?.press?.step_mm ?? 100),
  turn_deg: fieldText(robot?.press?.turn_deg ?? 90),
  circle_radius_mm: !robot?.outline ? '95' : 'circle_radius_mm' in robot.outline ? fieldText(robot.outline.circle_radius_mm) : '',
});

type Faults = Partial<Record<keyof Form, string>>;

// The description the form gives, on top of what was there: keys the form doesn't show are kept.
function descriptionOf(form: Form, before: RobotDescription | null): { robot: RobotDescription } | { faults: Faults } {
  const faults: Faults = {};
  const number = (field: keyof Form, unit: 'mm' | 'deg'): number => {
    const parsed = parseNumber(form[field], unit);
    if (!parsed.ok) faults[field] = words.fieldNumber;
    return parsed.ok ? parsed.value : NaN;
  };
  const whole = (field: keyof Form): number => {
    const parsed = parseWhole(form[field]);
    if (!parsed.ok) faults[field] = words.fieldWhole;
    return parsed.ok ? parsed.value : NaN;
  };
  if (form.name.trim() === '') faults.name = words.fieldName;
  const robot: RobotDescription = {
    ...before,
    name: form.name.trim(),
    track_width_mm: number('track_width_mm', 'mm'),
    trim_range: [whole('lowest'), whole('highest')],
    wheel_diameter_mm: number('wheel_diameter_mm', 'mm'),
    level_usual: whole('level_usual'),
    level_full: whole('level_full'),
    move_list_limit: whole('move_list_limit'),
    press: { step_mm: number('step_mm', 'mm'), turn_deg: number('turn_deg', 'deg') },
  };
  if (form.circle_radius_mm.trim() !== '') robot.outline = { circle_radius_mm: number('circle_radius_mm', 'mm') };
  // Wheels that stood at the old track width go with it to the new one.
  if (before && before.track_width_mm !== robot.track_width_mm) delete robot.wheels_mm;
  return Object.keys(faults).length ? { faults } : { robot };
}

// The form's field for a key that the server named.
function fieldOf(key: string): keyof Form {
  if (key.startsWith('trim_range')) return 'lowest';
  if (key.startsWith('press')) return key.includes('turn') ? 'turn_deg' : 'step_mm';
  if (key.startsWith('outline')) return 'circle_radius_mm';
  const known = Object.keys(formOf(null)) as (keyof Form)[];
  return known.find((field) => key.startsWith(field)) ?? 'name';
}

export function NewRobotView({ session }: { session: Session }) {
  const save = async (robot: RobotDescription): Promise<void> => {
    const made = await api.addRobot(robot);
    session.go({ page: 'robot', robotId: made.id, part: 'look' });
  };
  return <RobotForm before={null} sentence={words.newRobotSentence} save={save} leave="#/" />;
}

export function DescribeView({ page, session }: { page: RobotPage; session: Session }) {
  // What the form was filled from; if someone else changes the robot meanwhile, the server says so.
  const [from] = useState(page);
  const save = async (robot: RobotDescription): Promise<void> => {
    await api.changeRobot(page.id, robot, from.change);
    session.go({ page: 'robot', robotId: page.id, part: 'look' });
  };
  const leave = hashOf({ page: 'robot', robotId: page.id, part: 'look' });
  return <RobotForm before={from.robot} sentence={words.describeSentence(from.robot.name)} save={save} leave={leave} />;
}

function RobotForm(props: {
  before: RobotDescription | null;
  sentence: string;
  save: (robot: RobotDescription) => Promise<void>;
  leave: string;
}) {
  const [form, setForm] = useState(formOf(props.before));
  const [faults, setFaults] = useState<Faults>({});
  const keep = async (): Promise<void> => {
    const read = descriptionOf(form, props.before);
    if ('faults' in read) return setFaults(read.faults);
    try {
      await props.save(read.robot);
    } catch (error) {
      const message = error instanceof Refused ? error.message : words.lost;
      setFaults({ [error instanceof Refused && error.field ? fieldOf(error.field) : 'name']: message });
    }
  };
  const field = (name: keyof Form, label: string, hint?: string) => (
    <Field
      label={label}
      value={form[name]}
      set={(text) => {
        setForm({ ...form, [name]: text });
        setFaults({ ...faults, [name]: undefined });
      }}
      hint={hint}
      fault={faults[name]}
      numeric={name !== 'name'}
      wide={name === 'name' || name === 'track_width_mm'}
    />
  );
  const hidden = ['wheel_diameter_mm', 'level_usual', 'level_full', 'move_list_limit', 'step_mm', 'turn_deg', 'circle_radius_mm'] as const;
  return (
    <form
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <Lead sentence={props.sentence} action={{ label: words.keepRobot, go: () => undefined }} />
      <div class="beside">
        <div class="fields">
          {field('name', words.robotName)}
          {field('track_width_mm', words.trackWidth, words.trackWidthHint)}
          {field('lowest', words.trimLowest)}
          {field('highest', words.trimHighest)}
        </div>
        <TrackDrawing />
      </div>
      <More title={words.more} open={hidden.some((name) => faults[name])}>
        <div class="fields">
          {field('wheel_diameter_mm', words.wheelDiameter)}
          {field('circle_radius_mm', words.radius)}
          {field('level_usual', words.levelUsual)}
          {field('level_full', words.levelFull)}
          {field('step_mm', words.pressStep)}
          {field('turn_deg', words.pressTurn)}
          {field('move_list_limit', words.listLimit)}
        </div>
      </More>
      <p>
        <a href={props.leave}>{words.leaveEntry}</a>
      </p>
    </form>
  );
}

function TrackDrawing() {
  return (
    <svg class="drawing track" viewBox="0 0 240 180" role="img" aria-label={words.trackDrawing}>
      <g transform="translate(120 70) rotate(-90)">
        <RobotShape size={52} />
      </g>
      <path d="M68 96V158M172 96V158" class="thin" />
      <path d="M68 150H172M64 154L72 146M168 154L176 146" class="thin" />
      <text x="120" y="170" text-anchor="middle">
        {words.trackWidth.toLowerCase()}
      </text>
    </svg>
  );
}
