//! Turns a solver into another like it by flat copies, without allocating where the copy replaces one of the same network.

use super::factor::Factor;
use super::point::Point;
use super::solver::Solver;

/// Clones field by field, so that `clone_from` reuses what each field has; what is left out of the list doesn't compile.
macro_rules! flat_copy {
    ($kind:ident { $($field:ident),* $(,)? }) => {
        impl Clone for $kind {
            fn clone(&self) -> $kind {
                let $kind { $($field),* } = self;
                $kind { $($field: $field.clone()),* }
            }

            fn clone_from(&mut self, source: &$kind) {
                let $kind { $($field),* } = source;
                $(self.$field.clone_from($field);)*
            }
        }
    };
}

flat_copy!(Factor { mesh, share, ground, inverse, stale, sums });
flat_copy!(Point { order, volts, amps, siemens, branches, open, residual, iterations, own, islands });
flat_copy!(Solver {
    network,
    bare,
    attached,
    lifted,
    laid,
    pending,
    factor,
    emf,
    source,
    seats,
    point,
    warm,
    upset,
    step
});
