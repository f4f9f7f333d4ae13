using TestRig.Core.Quantities;

namespace TestRig.Core.Boards;

/// <summary>
/// The board's own controller, which drives the same lines as the adapter and so has to be out of the way: two drivers on one line damage each other. That
/// a line idles by itself does not show it, because a controller that holds it idle looks the same as the board's pull-up.
/// </summary>
/// <param name="DisabledBy">What the operator does to it, in words: "unplug it from J1".</param>
/// <param name="SensedAt">The test point that tells; null where none does, and then the operator answers for it.</param>
/// <param name="Is">The level there while the controller is disabled; null without a test point.</param>
public sealed record Controller(string DisabledBy, TestPoint? SensedAt, Level? Is);
