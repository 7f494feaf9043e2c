//! Serial schedule generation and its mirror image, for plain projects.
//!
//! Source: Kolisch 1996, European Journal of Operational Research 90:320 (serial scheme); Valls, Ballestin and
//! Quintanilla 2005, European Journal of Operational Research 165:375 (justification).

use crate::Project;

/// A project laid out for generation.
pub struct Layout<'a> {
    pub project: &'a Project,
    pub before: Vec<Vec<usize>>,
    pub after: Vec<Vec<usize>>,
    /// Share of the resources that each activity takes, summed over them.
    pub weight: Vec<f64>,
    resources: usize,
    horizon: usize,
}

/// What is free at each time: one row of resources for each time unit.
pub struct Profile {
    free: Vec<u32>,
}

impl<'a> Layout<'a> {
    pub fn new(project: &'a Project) -> Self {
        let count = project.lengths.len();
        let (mut before, mut after) = (vec![Vec::new(); count], vec![Vec::new(); count]);
        for &(from, to, _) in &project.lags {
            before[to].push(from);
            after[from].push(to);
        }
        let horizon = project.lengths.iter().map(|&length| length as usize).sum();
        let share = |&(resource, amount): &(usize, u32)| {
            f64::from(amount) / f64::from(project.capacities[resource].max(1))
        };
        let weight = project.uses.iter().map(|uses| uses.iter().map(share).sum()).collect();
        Self { project, before, after, weight, resources: project.capacities.len(), horizon }
    }

    /// Longest way from the begin of each activity to the end of all, by the lags alone; what comes later in the list
    /// comes later in time.
    pub fn tails(&self) -> Vec<i64> {
        let mut tails = vec![0_i64; self.before.len()];
        for activity in (0..tails.len()).rev() {
            let after = self.after[activity].iter().map(|&one| tails[one]).max().unwrap_or(0);
            tails[activity] = after + i64::from(self.project.lengths[activity]);
        }
        tails
    }

    pub fn profile(&self) -> Profile {
        Profile { free: Vec::with_capacity(self.resources * self.horizon) }
    }

    fn clear(&self, profile: &mut Profile) {
        profile.free.clear();
        for _ in 0..self.horizon {
            profile.free.extend_from_slice(&self.project.capacities);
        }
    }

    /// The first time from `at` on at which the activity fits.
    fn fit(&self, profile: &Profile, activity: usize, at: usize) -> usize {
        let length = self.project.lengths[activity] as usize;
        let uses = &self.project.uses[activity];
        let mut start = at;
        let mut time = at;
        while time < start + length {
            let row = &profile.free[time * self.resources..(time + 1) * self.resources];
            if uses.iter().any(|&(resource, amount)| row[resource] < amount) {
                start = time + 1;
            }
            time += 1;
        }
        start
    }

    fn occupy(&self, profile: &mut Profile, activity: usize, start: usize) {
        for time in start..start + self.project.lengths[activity] as usize {
            for &(resource, amount) in &self.project.uses[activity] {
                profile.free[time * self.resources + resource] -= amount;
            }
        }
    }

    /// Each activity of the list in turn as early as it can; the list keeps to precedence.
    pub fn forward(&self, list: &[usize], starts: &mut [u32], profile: &mut Profile) -> u32 {
        self.clear(profile);
        let mut end = 0;
        for &activity in list {
            let ready = self.before[activity]
                .iter()
                .map(|&one| starts[one] + self.project.lengths[one])
                .max()
                .unwrap_or(0);
            let start = self.fit(profile, activity, ready as usize);
            self.occupy(profile, activity, start);
            starts[activity] = start as u32;
            end = end.max(starts[activity] + self.project.lengths[activity]);
        }
        end
    }

    /// Shifts everything as late as it can before `end`, latest first, then as early as it can, earliest first.
    /// Never ends later than before. Leaves `list` in the order of the begins.
    pub fn justify(&self, list: &mut [usize], starts: &mut [u32], end: u32, profile: &mut Profile) -> u32 {
        let lengths = &self.project.lengths;
        list.sort_by_key(|&activity| {
            std::cmp::Reverse((starts[activity] + lengths[activity], starts[activity]))
        });
        // Time runs backwards from `end`: an activity's mirrored begin is where it ends.
        self.clear(profile);
        for &activity in list.iter() {
            let last = self.after[activity].iter().map(|&one| starts[one]).min().unwrap_or(end);
            let mirrored = self.fit(profile, activity, (end - last) as usize);
            self.occupy(profile, activity, mirrored);
            starts[activity] = end - mirrored as u32 - lengths[activity];
        }
        list.sort_by_key(|&activity| (starts[activity], activity));
        let end = self.forward(list, starts, profile);
        list.sort_by_key(|&activity| (starts[activity], activity));
        end
    }

    /// The list with whatever must come before an activity moved before it, else in its order.
    pub fn feasible(&self, list: &[usize]) -> Vec<usize> {
        let mut is_in = vec![false; list.len()];
        let mut found = Vec::with_capacity(list.len());
        let mut open = Vec::new();
        for &one in list {
            open.push(one);
            while let Some(&top) = open.last() {
                if is_in[top] {
                    open.pop();
                } else if let Some(&missing) = self.before[top].iter().find(|&&before| !is_in[before]) {
                    open.push(missing);
                } else {
                    is_in[top] = true;
                    found.push(top);
                    open.pop();
                }
            }
        }
        found
    }
}
