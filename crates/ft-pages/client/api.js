// What the server answers, as types; there is nothing here to run.

/** @typedef {import("./form.js").Form} Form */

/** @typedef {{ part: string, side?: string, number?: number }} PartRef */

/** What happened, as ft-record's `Fact` writes it. @typedef {{ what: string, [key: string]: any }} Fact */

/** @typedef {{ v: number, id: string, device: string, order: number, at_ms: number, zone: string, person?: string, run?: string, machine?: string, fact: Fact }} Event */

/** An event with its number in the record; `seq` is 0 while it is only on this device.
 * @typedef {{ seq: number, event: Event }} Stored */

/** `waits`: how long it takes by the plan before an event of the row, counted from the event before it, and how long at
 * least; what only a person sees the end of has no least.
 * @typedef {{ start_ms: number, end_ms: number, people: string[], machine: string, title: string, events: string[], place?: string|null, cautions: { kind: string, text: string }[], say?: string|null, load: boolean, parts: string[], waits?: { event: string, seconds: number, least_s?: number }[] }} Row */

/** @typedef {{ begins_ms: number, out_ms: number, rows: Row[] }} Plan */

/** @typedef {PartRef & { label?: string, slot: string|null, state: string, seen_at?: number|null, seen_by?: string|null }} PartLine */

/** `form` is a mark: the form itself is at `/api/form/` and it.
 * @typedef {{ machine: string, label: string, form: string, parts: PartLine[], conflicts?: any[], done?: string[], values?: Record<string, number> }} MachineAnswer */

/** `run` is null before a night has begun.
 * @typedef {{ epoch: string, seq: number, run: any, me: { name: string, roles: string[], language: string }, people: any[], machines: MachineAnswer[], plan: Plan|null, plan_mark?: string, events: Stored[], timers?: any[] }} RunAnswer */

/** What probes show now. `of` is the name of their readings in the record.
 * @typedef {{ now_ms: number, version: number, broker: string, probes: { probe: string, of: string, unit: string, value: number|null, at_ms: number|null, good: boolean|null, state: string, alarms: { alarm: string, since_ms: number, by_ms: number, id: string|null, is_seen: boolean }[] }[] }} Probes */

export {};
