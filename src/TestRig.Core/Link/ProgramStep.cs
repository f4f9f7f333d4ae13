using System.Buffers.Binary;
using System.Collections.Immutable;

namespace TestRig.Core.Link;

public enum StepAction : byte
{
    /// <summary>The burst ends: the last step, exactly once.</summary>
    End = 0,

    /// <summary>Exactly the lines in the mask are on from now.</summary>
    Lines = 1,

    /// <summary>The analog pins in the mask (by analog index) are read.</summary>
    Measure = 2,
}

/// <summary>One step of a program as the device runs it.</summary>
/// <param name="At">Ticks from the burst's start.</param>
/// <param name="Count">Conversions a pin, for <see cref="StepAction.Measure"/>; 0 otherwise.</param>
public readonly record struct ProgramStep(uint At, StepAction Action, uint Mask, byte Count)
{
    /// <summary>Bytes of a step on the wire.</summary>
    public const int Length = 10;

    /// <summary>The first step is not before this many ticks.</summary>
    public const uint EarliestTick = 1600;

    /// <summary>Between two steps lie at least this many ticks.</summary>
    public const uint SpacingTicks = 320;

    internal void Write(Span<byte> body)
    {
        BinaryPrimitives.WriteUInt32LittleEndian(body, At);
        body[4] = (byte)Action;
        BinaryPrimitives.WriteUInt32LittleEndian(body[5..], Mask);
        body[9] = Count;
    }

    /// <summary>CRC-32 over all steps in order: the device runs only the program that the host means.</summary>
    public static uint Digest(ImmutableArray<ProgramStep> steps)
    {
        var bytes = new byte[steps.Length * Length];
        for (var index = 0; index < steps.Length; index++)
            steps[index].Write(bytes.AsSpan(index * Length));
        return LinkChecksum.Of(bytes);
    }
}
