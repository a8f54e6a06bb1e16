/// All rectifier fixtures of a chain as one: their voltages add up.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct RectifierClass {
    /// Places of their groups in the field.
    pub(super) groups: Vec<usize>,
    pub(super) dc_v: f64,
    pub(super) path_ohm: f64,
    pub(super) core_loss_ohm: f64,
}
