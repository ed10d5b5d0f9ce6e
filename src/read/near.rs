//! Turns a name that does not exist into the existing one that the author probably meant.

/// The nearest candidate within a third of the name's length (at least one edit), letter case ignored; among equals the
/// first in alphabetical order, so that the answer does not depend on where the candidates come from.
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let lower = name.to_lowercase();
    let limit = (name.chars().count() / 3).max(1);
    candidates
        .into_iter()
        .map(|candidate| (strsim::damerau_levenshtein(&lower, &candidate.to_lowercase()), candidate))
        .filter(|&(distance, candidate)| distance <= limit && candidate != name)
        .min()
        .map(|(_, candidate)| candidate)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn the_nearest_is_found_and_far_ones_are_not() {
        let kinds = ["fuse", "relay", "lamp", "latching-relay"];
        assert_eq!(nearest("rellay", kinds), Some("relay"));
        assert_eq!(nearest("Lmap", kinds), Some("lamp"));
        assert_eq!(nearest("breaker", kinds), None);
        assert_eq!(nearest("K4", ["K5", "K3"]), Some("K3"));
    }
}
