//! Labels beside a picture, moved apart where they would cover each other.

/// Heights at least `gap` apart and in the same order, as near to those wanted as that allows; between the
/// ends as long as there is room.
pub(super) fn spread_out(wanted: &[f64], gap: f64, (top, bottom): (f64, f64)) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let mut heights = wanted.to_vec();
    let mut least = top;
    for index in &order {
        heights[*index] = heights[*index].max(least);
        least = heights[*index] + gap;
    }
    let mut most = bottom;
    for index in order.iter().rev() {
        heights[*index] = heights[*index].min(most);
        most = heights[*index] - gap;
    }
    heights
}
