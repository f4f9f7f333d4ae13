namespace TestRig.Service;

/// <summary>So much is being read and drawn already that this one would wait too long.</summary>
internal sealed class ServiceBusyException() : Exception("More pictures and findings are asked for than this computer can make. Ask again in some seconds, and for less at once.");
