using Iot.Device.Arduino;

namespace TestRig.Bench.Adapters.Gpio;

/// <summary>
/// A question to a Firmata board that it answers in its turn (pin state query, Firmata protocol 2.5): when the answer is here, everything sent before the question
/// has been done, and everything that the board reported before its answer has arrived.
/// </summary>
internal sealed class FirmataFence : ExtendedCommandHandler
{
    private const byte PinStateQuery = 0x6D, PinStateResponse = 0x6E;

    /// <summary>
    /// A line may be on while this is waited for, so it is short; a board that is slower than that cannot be used. At 57600 bit/s question and answer take 2 ms.
    /// </summary>
    private static readonly TimeSpan _patience = TimeSpan.FromMilliseconds(250);

    /// <param name="pin">Any pin of the board.</param>
    /// <exception cref="TimeoutException">No answer.</exception>
    public void Pass(int pin)
    {
        var question = new FirmataCommandSequence();
        question.WriteByte(PinStateQuery);
        question.WriteByte((byte)pin);
        question.WriteByte(FirmataCommandSequence.EndSysex);
        try
        {
            SendCommandAndWait(question, _patience);
        }
        catch (TimeoutException late)
        {
            throw new TimeoutException($"no answer within {_patience.TotalMilliseconds:0} ms.", late);
        }
    }

    protected override bool IsMatchingAck(FirmataCommandSequence sequence, byte[] reply) =>
        reply.Length > 1 && reply[0] == PinStateResponse && reply[1] == sequence.Sequence[2];
}
