//! Turns points into straight lines between them, and a place on their axis into the value there.

/// A value on straight lines between points, held beyond the ends.
pub(super) fn along(points: &[(f64, f64)], at: f64) -> f64 {
    let after = points.partition_point(|point| point.0 <= at);
    if after == 0 {
        return points[0].1;
    }
    if after == points.len() {
        return points[after - 1].1;
    }
    let (before, after) = (points[after - 1], points[after]);
    before.1 + (after.1 - before.1) * (at - before.0) / (after.0 - before.0)
}
