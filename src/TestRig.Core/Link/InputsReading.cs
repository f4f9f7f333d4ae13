using System.Collections.Immutable;

namespace TestRig.Core.Link;

/// <summary>OK reply to INPUTS.</summary>
/// <param name="Now">The device's timer, in ticks.</param>
/// <param name="Snapshot">Bit n mod 8 of byte n div 8 is the level of pin n.</param>
public sealed record InputsReading(uint Now, ImmutableArray<byte> Snapshot)
{
    public static Parsed<InputsReading> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var now = reader.U32();
        return reader.TooShort ? new("the reading of the inputs is too short") : new(new InputsReading(now, [.. reader.Take(reader.Remaining)]));
    }
}
