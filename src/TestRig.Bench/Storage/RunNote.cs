using System.Collections.Immutable;

namespace TestRig.Bench.Storage;

/// <summary>What somebody put on record of a run, when it had been made. Notes are added to, never changed.</summary>
/// <param name="By">Who wrote it.</param>
/// <param name="Words">May be empty where parts or a serial number say all.</param>
/// <param name="Replaced">Parts of the board that were replaced behind this run.</param>
/// <param name="Serial">The board's serial number, where the note says it; null where it does not.</param>
public sealed record RunNote(DateTimeOffset At, string By, string Words, ImmutableArray<ReplacedPart> Replaced, string? Serial);

/// <param name="Part">Its designation on the board.</param>
/// <param name="With">What was put in, in the technician's words: type, maker, date code; empty where nothing was said.</param>
public sealed record ReplacedPart(string Part, string With);
