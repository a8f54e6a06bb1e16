//! Pushing labels apart.

/// Centres as near as possible (least squares) to the wanted ones, in the same order, so that
/// labels of the given heights do not cover each other and stay between `top_px` and `bottom_px`.
///
/// Labels that touch move as one block to the mean of what they want; blocks that meet are joined.
/// When there is not enough room for all, they start at the top and run out below.
pub(super) fn spread(wanted: &[(f64, f64)], top_px: f64, bottom_px: f64) -> Vec<f64> {
    struct Block {
        members: Vec<usize>,
        height_px: f64,
        top_px: f64,
    }
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].0.total_cmp(&wanted[*b].0));
    let settle = |members: &[usize]| {
        let mut above_px = 0.0;
        let mut sum_px = 0.0;
        for &index in members {
            let (centre_px, height_px) = wanted[index];
            sum_px += centre_px - above_px - 0.5 * height_px;
            above_px += height_px;
        }
        let free_px = sum_px / members.len() as f64;
        (above_px, free_px.min(bottom_px - above_px).max(top_px))
    };
    let mut blocks: Vec<Block> = Vec::new();
    for index in order {
        let mut members = vec![index];
        let (mut height_px, mut at_px) = settle(&members);
        while let Some(last) = blocks.pop_if(|last| last.top_px + last.height_px > at_px) {
            members = [last.members, members].concat();
            (height_px, at_px) = settle(&members);
        }
        blocks.push(Block { members, height_px, top_px: at_px });
    }
    let mut centres_px = vec![0.0; wanted.len()];
    for block in blocks {
        let mut at_px = block.top_px;
        for index in block.members {
            centres_px[index] = at_px + 0.5 * wanted[index].1;
            at_px += wanted[index].1;
        }
    }
    centres_px
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exact_two_labels_at_one_place_part_evenly() {
        assert_eq!(spread(&[(50.0, 10.0), (50.0, 10.0)], 0.0, 100.0), [45.0, 55.0]);
    }

    #[test]
    fn exact_labels_far_apart_stay() {
        assert_eq!(spread(&[(80.0, 10.0), (20.0, 10.0)], 0.0, 100.0), [80.0, 20.0]);
    }

    #[test]
    fn law_labels_stay_between_the_ends_and_do_not_cover_each_other() {
        let wanted = [(3.0, 20.0), (4.0, 20.0), (5.0, 30.0), (99.0, 20.0)];
        let centres = spread(&wanted, 0.0, 100.0);
        assert_eq!(centres, [10.0, 30.0, 55.0, 90.0], "by hand: 20 + 20 + 30 from the top");
    }
}
