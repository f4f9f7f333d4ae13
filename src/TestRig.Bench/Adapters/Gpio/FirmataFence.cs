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
    /// How long an answer is waited for. Before anything is driven, long enough for any board; a line may be on while it is waited for later, so then it is
    /// shorter. At 57600 bit/s question and answer take 2 ms.
    /// </summary>
    public TimeSpan Patience { get; set; } = TimeSpan.FromSeconds(3);

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
            SendCommandAndWait(question, Patience);
        }
        catch (TimeoutException late)
        {
            throw new TimeoutException($"no answer within {Patience.TotalMilliseconds:0} ms.", late);
        }
    }

    protected override bool IsMatchingAck(FirmataCommandSequence sequence, byte[] reply) =>
        reply.Length > 1 && reply[0] == PinStateResponse && reply[1] == sequence.Sequence[2];
}
