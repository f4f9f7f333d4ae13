using TestRig.Core.Boards;
using TestRig.Core.Captures;
using TestRig.Core.Quantities;

namespace TestRig.Core.Learning;

/// <summary>One brief pulse on one line of a board that nothing is known of, and what was seen meanwhile.</summary>
/// <param name="DrivenAt">The signal of the line's own pin.</param>
/// <param name="OnAt">When the line was to go on, from the capture's start.</param>
/// <param name="OffAt">When it was to go idle again.</param>
/// <param name="Capture">Signals by test-point name; behind multiplexers not all points are in it.</param>
public sealed record DraftPulse(Line Line, string DrivenAt, Duration OnAt, Duration OffAt, Capture Capture);
