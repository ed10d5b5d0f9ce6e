//! Turns a row of columns too wide for one sheet into runs of columns that fit, cutting few bars.

/// The first columns of the sheets, for columns of these widths and bars between these columns (first and last). As few
/// sheets as fit are used; of their possible cuts the ones that cut the fewest bars, then the evenest.
pub(super) fn cut(widths: &[f64], bars: &[(usize, usize)], limit: f64) -> Vec<usize> {
    let total: f64 = widths.iter().sum();
    if total <= limit || widths.len() < 2 {
        return vec![0];
    }
    let count = widths.len();
    let sheets = (total / limit).ceil();
    let even = total / sheets;
    let cutting = |at: usize| bars.iter().filter(|&&(first, last)| first < at && at <= last).count() as f64;
    // best[k]: the cost of the best way to end a sheet before column k, and where that sheet begins.
    let mut best: Vec<(f64, usize)> = vec![(f64::INFINITY, 0); count + 1];
    best[0] = (0.0, 0);
    for end in 1..=count {
        for start in 0..end {
            let width: f64 = widths[start..end].iter().sum();
            if width > limit && end - start > 1 {
                continue;
            }
            let uneven = (width / even - 1.0).powi(2);
            let cost = best[start].0 + 1.0 + cutting(start) * 0.3 + uneven;
            if cost < best[end].0 {
                best[end] = (cost, start);
            }
        }
    }
    let mut starts = Vec::new();
    let mut end = count;
    while end > 0 {
        end = best[end].1;
        starts.push(end);
    }
    starts.reverse();
    starts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_falls_where_no_bar_is() {
        let widths = [100.0; 10];
        assert_eq!(cut(&widths, &[(0, 3), (4, 9)], 650.0), [0, 4]);
        assert_eq!(cut(&widths, &[], 2000.0), [0]);
        assert_eq!(cut(&widths, &[(0, 9)], 500.0), [0, 5]);
    }
}
