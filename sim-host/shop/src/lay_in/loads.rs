//! Which parts go into the machine together: as they are listed, or by thickness.

/// Parts in loads of `room`, in the order given; the last may be short.
pub(super) fn as_listed(parts: &[usize], room: usize) -> Vec<Vec<usize>> {
    parts.chunks(room.max(1)).map(<[usize]>::to_vec).collect()
}

/// The same by thickness, thickest first. Where a load is short, it is the one that leaves the least differences within the loads: the
/// least sum of squares about the means of each. `thickness` is that of each part.
///
/// Loads of parts that follow each other in thickness have the least such sum of all loads of these sizes: an exchange of two parts
/// between loads would only bring the thicker one to the thinner.
pub(super) fn by_thickness(parts: &[usize], thickness: &[f64], room: usize) -> Vec<Vec<usize>> {
    let room = room.max(1);
    let mut sorted = parts.to_vec();
    // Of equals the first listed.
    sorted.sort_by(|a, b| thickness[*b].total_cmp(&thickness[*a]).then(a.cmp(b)));
    let (full, rest) = (sorted.len() / room, sorted.len() % room);
    if rest == 0 {
        return as_listed(&sorted, room);
    }
    let cut = |short: usize| {
        let mut loads = Vec::with_capacity(full + 1);
        let mut left = &sorted[..];
        for load in 0..=full {
            let (now, then) = left.split_at(if load == short { rest } else { room });
            loads.push(now.to_vec());
            left = then;
        }
        loads
    };
    let squares = |loads: &[Vec<usize>]| -> f64 {
        let of = |load: &Vec<usize>| {
            let mean = load.iter().map(|i| thickness[*i]).sum::<f64>() / load.len() as f64;
            let off = |i: &usize| (thickness[*i] - mean) * (thickness[*i] - mean);
            load.iter().map(off).sum::<f64>()
        };
        loads.iter().map(of).sum()
    };
    let mut best = cut(0);
    for short in 1..=full {
        let other = cut(short);
        if squares(&other) < squares(&best) {
            best = other;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_load_is_where_it_leaves_least_differences() {
        let thickness = [9.0, 1.0, 2.0, 3.0, 9.1];
        let all = [0, 1, 2, 3, 4];
        // Two thick ones apart from three thin ones.
        assert_eq!(
            by_thickness(&all, &thickness, 3),
            [vec![4, 0], vec![3, 2, 1]]
        );
        assert_eq!(as_listed(&all, 3), [vec![0, 1, 2], vec![3, 4]]);
        assert_eq!(by_thickness(&all[..4], &thickness, 2).len(), 2);
    }
}
