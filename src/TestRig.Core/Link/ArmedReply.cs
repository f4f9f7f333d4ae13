namespace TestRig.Core.Link;

/// <summary>OK reply to ARM.</summary>
/// <param name="Nonce">Stands in every request that drives a line; void after a reset, and when the device disarms. Never 0.</param>
public sealed record ArmedReply(uint Nonce)
{
    public static Parsed<ArmedReply> Parse(ReadOnlySpan<byte> body)
    {
        var reader = new BodyReader(body);
        var reply = new ArmedReply(reader.U32());
        if (reader.TooShort)
            return new("the arming carries no nonce");
        return reply.Nonce == 0 ? new("the arming's nonce is 0") : new(reply);
    }
}
