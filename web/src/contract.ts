// The shapes of docs/api.md. Lengths in mm, angles in degrees, times in seconds unless a name says otherwise.

export interface Estimate {
  mean: number;
  low: number;
  high: number;
}

export type RobotState = 'new' | 'truing' | 'true' | 'cannot';

export interface RobotLine {
  id: number;
  name: string;
  state: RobotState;
  word: string;
  sentence: string;
  trim: number | null;
  in_tolerance_probability: number | null;
  last_drift_mm_per_m: number | null;
  run_count: number;
  last_run_at: string | null;
}

export interface NamedId {
  id: number;
  name: string;
}

export interface SetAnswer {
  name: string;
  change: number;
  robots: RobotLine[];
  tables: NamedId[];
  move_lists: NamedId[];
  undo: { change: number; what: string } | null;
  redo: { change: number; what: string } | null;
}

export interface RobotDescription {
  name: string;
  track_width_mm: number;
  trim_range: [number, number];
  wheel_diameter_mm?: number;
  level_full?: number;
  level_usual?: number;
  move_list_limit?: number;
  outline?: { circle_radius_mm: number } | { polygon_mm: [number, number][] };
  wheels_mm?: [number, number][];
  castors_mm?: [number, number][];
  hold_timeout_step_s?: number;
  press?: { step_mm: number; turn_deg: number };
}

// The columns of RUNS.csv; what was not read is left out.
export interface RunBody {
  kind: 'straight' | 'turn';
  level: number;
  trim: number;
  seconds?: number;
  half_line_mm?: number;
  half_sideways_mm?: number;
  line_mm?: number;
  sideways_mm?: number;
  distance_mm?: number;
  turned_deg?: number;
  battery_v?: number;
  surface?: string;
  left_out?: boolean;
  note?: string;
}

export interface Run extends RunBody {
  id: number;
  at: string;
  row: number;
}

export interface NextRun {
  kind: 'straight' | 'turn';
  level: number;
  trim: number;
  half_line_mm?: number;
  line_mm?: number;
  seconds?: number;
  direction?: 'left' | 'right';
}

export interface Advice {
  best_trim: number;
  drift_mm_per_m: Estimate;
  in_tolerance_probability: number;
  verdict: 'in-tolerance' | 'more-runs' | 'cannot-reach';
  reason: string;
  next_run: NextRun | null;
  doubtful_runs: number[];
  doubtful_because?: { row: number; because: string }[];
  assumed?: string[];
}

export interface Constant extends Estimate {
  unit: string;
  meaning: string;
  assumed: boolean;
}

export type SettingsAnswer = Record<string, unknown>;

export interface DriftAtTrim extends Estimate {
  trim: number;
  in_tolerance_probability: number;
}

export interface RunDrift extends Estimate {
  run_id: number;
  trim: number;
  level: number;
  aim_deg: number;
  doubtful: boolean;
}

export interface KeptSettings {
  at: string;
  trim: number;
  level: number;
}

// `change` is the newest change the answer was made with; a description sent back with it as `based_on` is refused where
// someone else was quicker.
export interface RobotPage {
  id: number;
  change: number;
  robot: RobotDescription;
  runs: Run[];
  sentence: string;
  advice: Advice;
  settings: SettingsAnswer;
  curve: DriftAtTrim[];
  run_drifts: RunDrift[];
  kept_settings: KeptSettings[];
  tolerance_mm_per_m: number;
}

export interface Pose {
  x_mm: number;
  y_mm: number;
  heading_deg: number;
}

export interface CircleObstacle {
  name: string;
  centre_mm: [number, number];
  radius_mm: number;
}

export interface PolygonObstacle {
  name: string;
  polygon_mm: [number, number][];
}

export type Obstacle = CircleObstacle | PolygonObstacle;

export interface TableBody {
  name: string;
  edge_mm: [number, number][];
  walled?: boolean;
  odd_sides?: number[];
  more_edges_mm?: [number, number][][];
  holes?: { name: string; polygon_mm: [number, number][]; walled: boolean }[];
  obstacles?: Obstacle[];
}

// Where the table ends, the table to the left.
export interface TableSide {
  from_mm: [number, number];
  to_mm: [number, number];
  walled: boolean;
}

export interface TableAnswer extends TableBody {
  id: number;
  change: number;
  sides: TableSide[];
}

export interface ListAnswer {
  id: number;
  change: number;
  name: string;
  text: string;
}

export interface ListFault {
  line: number;
  column: number;
  message: string;
}

export interface ListCheck {
  faults: ListFault[];
  moves: { line: number; text: string; milliseconds: number; untrued: string }[];
  press_list: { presses: string[]; count: number; limit: number; fits: boolean } | null;
}

export interface ForecastQuestion {
  robot_id: number;
  text: string;
  table_id: number;
  start: Pose;
  samples: number;
  seed: number;
}

export interface ForecastAnswer {
  sentence: string;
  fall_probability: Estimate;
  bump_probability: Estimate;
  first_risky_move: { move: number; line: number; text: string; mishap: string; probability: number; x_mm: number; y_mm: number } | null;
  moves: { text: string; line: number; untrued: string; clearance_mm: number }[];
  assumed?: string[];
  samples: number;
  nominal_path: [number, number, number][];
  sample_paths: [number, number][][];
  region_95: [number, number][];
  move_ends: [number, number, number][];
}

export interface SafestAnswer {
  start: Pose;
  mishap: Estimate;
}

export interface ChangeNotice {
  change: number;
  robot_id?: number | null;
  table_id?: number | null;
  list_id?: number | null;
}
