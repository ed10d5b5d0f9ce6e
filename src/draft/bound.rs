//! Turns the weights of possible verdicts into what any strategy of testing must cost at least.

/// Entropy of weights that need not add up to 1, in bits times their sum:
/// `W·log2(W) − Σ w·log2(w)` with `W` the sum (C. E. Shannon, 1948). Zero weights add nothing. Cost: one pass.
pub fn entropy(weights: &[f64]) -> f64 {
    let bits = |weight: f64| if weight > 0.0 { weight * weight.log2() } else { 0.0 };
    let total: f64 = weights.iter().sum();
    (bits(total) - weights.iter().map(|&weight| bits(weight)).sum::<f64>()).max(0.0)
}

/// Mean word length of the best prefix code in `letters` letters for words of these weights (D. A. Huffman, 1952): the
/// fewest tests with so many outcomes that can tell the words apart, were every conceivable test at hand.
///
/// Weights need not add up to 1; words of no weight count as words. Zero for fewer than two words or no weight at all.
/// Cost: words squared.
///
/// # Panics
///
/// With fewer than two letters.
pub fn huffman(weights: &[f64], letters: usize) -> f64 {
    assert!(letters >= 2, "a code needs two letters");
    let total: f64 = weights.iter().sum();
    if weights.len() < 2 || total <= 0.0 {
        return 0.0;
    }
    let mut heap = weights.to_vec();
    // Words of no weight fill up the last, longest group, so that every group is full.
    while !(heap.len() - 1).is_multiple_of(letters - 1) {
        heap.push(0.0);
    }
    let mut length = 0.0;
    while heap.len() > 1 {
        heap.sort_by(|a, b| b.total_cmp(a));
        let group: f64 = heap.split_off(heap.len() - letters).iter().sum();
        length += group;
        heap.push(group);
    }
    length / total
}
