//! Readers of the two public formats: PSPLIB's `.sm` (Kolisch and Sprecher 1996, European Journal of Operational
//! Research 96:205) and ProGen/max's `.sch` (Schwindt).

use crate::Project;

/// Reads a single-mode `.sm` file. The dummy first and last jobs stay, with length 0.
///
/// # Errors
/// What was looked for and not found.
pub fn parse_sm(text: &str) -> Result<Project, String> {
    let lines: Vec<&str> = text.lines().collect();
    let section = |name: &str| -> Result<usize, String> {
        lines.iter().position(|line| line.starts_with(name)).ok_or_else(|| format!("no section {name:?}"))
    };
    let jobs_line = lines.iter().find(|line| line.starts_with("jobs")).ok_or("no line of jobs")?;
    let jobs = numbers(jobs_line).pop().ok_or("no number of jobs")? as usize;
    let mut project = Project { lengths: vec![0; jobs], uses: vec![Vec::new(); jobs], ..Project::default() };
    let requests = section("REQUESTS")?;
    for line in lines.iter().skip(requests + 3).take(jobs) {
        let row = numbers(line);
        let (Some(&job), Some(&length)) = (row.first(), row.get(2)) else {
            return Err(format!("bad request {line:?}"));
        };
        let job = job as usize - 1;
        *project.lengths.get_mut(job).ok_or("a job beyond the last")? = length as u32;
        let amounts = row[3..].iter().enumerate().filter(|&(_, &amount)| amount > 0);
        project.uses[job] = amounts.map(|(resource, &amount)| (resource, amount as u32)).collect();
    }
    let precedence = section("PRECEDENCE")?;
    for line in lines.iter().skip(precedence + 2).take(jobs) {
        let row = numbers(line);
        let Some(&job) = row.first() else { return Err(format!("bad precedence {line:?}")) };
        for &after in row.iter().skip(3) {
            let (from, to) = (job as usize - 1, after as usize - 1);
            project.lags.push((from, to, i64::from(project.lengths[from])));
        }
    }
    let capacity_line = lines.get(section("RESOURCEAVAILABILITIES")? + 2).ok_or("no capacities")?;
    project.capacities = numbers(capacity_line).into_iter().map(|capacity| capacity as u32).collect();
    Ok(project)
}

/// Reads a `.sch` file of ProGen/max.
///
/// # Errors
/// What was looked for and not found.
pub fn parse_sch(text: &str) -> Result<Project, String> {
    let mut lines = text.lines().filter(|line| !line.trim().is_empty());
    let head = numbers(lines.next().ok_or("an empty file")?);
    let (Some(&real), Some(&resources)) = (head.first(), head.get(1)) else {
        return Err("a bad first line".to_owned());
    };
    let count = real as usize + 2;
    let resources = resources as usize;
    let mut project =
        Project { lengths: vec![0; count], uses: vec![Vec::new(); count], ..Project::default() };
    for _ in 0..count {
        let row = numbers(lines.next().ok_or("too few activities")?);
        let (Some(&from), Some(&many)) = (row.first(), row.get(2)) else {
            return Err("a bad activity".to_owned());
        };
        let many = many as usize;
        for index in 0..many {
            let (Some(&to), Some(&lag)) = (row.get(3 + index), row.get(3 + many + index)) else {
                return Err(format!("activity {from} lacks a follower or its lag"));
            };
            project.lags.push((from as usize, to as usize, lag));
        }
    }
    for _ in 0..count {
        let row = numbers(lines.next().ok_or("too few requests")?);
        let (Some(&one), Some(&length)) = (row.first(), row.get(2)) else {
            return Err("a bad request".to_owned());
        };
        project.lengths[one as usize] = length as u32;
        let amounts = row.iter().skip(3).take(resources).enumerate().filter(|&(_, &amount)| amount > 0);
        project.uses[one as usize] = amounts.map(|(resource, &amount)| (resource, amount as u32)).collect();
    }
    let capacities = numbers(lines.next().ok_or("no capacities")?);
    project.capacities = capacities.into_iter().take(resources).map(|capacity| capacity as u32).collect();
    Ok(project)
}

/// The whole numbers of a line, whatever stands between them.
fn numbers(line: &str) -> Vec<i64> {
    let parts = line.split(|letter: char| !(letter.is_ascii_digit() || letter == '-'));
    parts.filter_map(|part| part.parse().ok()).collect()
}
