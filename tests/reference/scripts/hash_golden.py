"""Golden values of the two hashes, computed from the byte tables of sim-host/sim/src/bench/hash.rs by an independent reading of them
(Python's struct lays out the bytes). Standard library only: python3 hash_golden.py. The values are in sim-host/sim/src/bench/hash_tests.rs."""
import struct
M=(1<<64)-1
L=[0x243F6A8885A308D3,0x13198A2E03707344,0xA4093822299F31D0,0x082EFA98EC4E6C89]
K=0x9E3779B97F4A7C15
rot=lambda x,n:((x<<n)|(x>>(64-n)))&M
mix=lambda l,w:((rot(l,23)^w)*K)&M
class H:
    def __init__(s,kind,ver): s.l=[a^kind^ver for a in L]; s.n=0
    def block(s,ws):
        for j,w in enumerate(ws): s.l[j%4]=mix(s.l[j%4],w)
        s.n+=1
    def value(s):
        x=L[0]
        for l in s.l: x=mix(x,l)
        x=mix(x,s.n)
        x^=x>>32; x=x*K&M; return x^(x>>29)
CTRL=0x6374726C<<32; TRAC=0x74726163<<32
f=lambda v: struct.unpack('<I',struct.pack('<f',v))[0]
d=lambda v: struct.unpack('<Q',struct.pack('<d',v))[0]
i16=lambda v:v&0xffff
V=2 # version of the definition
print('empty',hex(H(CTRL,V).value()))
# bytes laid out with struct, an independent reading of the table
def blk(o,s):
    w0=struct.pack('<HHBBBB',o['cap'],o['pump'],o['rod'],o['flags'],o['en'],0)
    w1=struct.pack('<4h',*o['sp'])
    w2=struct.pack('<HHI',1,s['boots'],s['tick'])
    w3=struct.pack('<8B',s['state'],s['phase'],s['step'],s['mode'],s['plate'],s['lm'],s['resp'],s['bits'])
    w4=struct.pack('<HHI',s['cause'],s['missing'],s['steptime'])
    w5=struct.pack('<QQ',s['active'],s['latched'])
    w7=struct.pack('<7fBHB',*s['f'],s['setting'],s['age'],0)
    w11=struct.pack('<Q',s['unack'])
    w12=struct.pack('<2f',*s['form'])
    b=w0+w1+w2+w3+w4+w5+w7+w11+w12
    assert len(b)==104
    return struct.unpack('<13Q',b)
o=dict(cap=40000,pump=750,rod=1,flags=0b01001,en=0b1011,sp=[1400,500,2800,-1400])
s=dict(boots=3,tick=123456,state=1,phase=7,step=2,mode=0,plate=2,lm=3,resp=1,bits=0b1101,cause=17,missing=5,steptime=9000,active=0x8000000000000001,latched=0x10,unack=0x8000000000000010,f=[264.5,-0.0,265.0,350.0,0.25,0.5,549.75],setting=2,age=3,form=[-1.5,4.25])
h=H(CTRL,V); h.block(blk(o,s)); print('one',hex(h.value()))
s['tick']+=1; h.block(blk(o,s)); print('two',hex(h.value()))
t=H(TRAC^(1<<16),V); t.block([20]+[d(x) for x in (1.5,-0.0,float('inf'),-2.25,0.1)]); print('row',hex(t.value()))
t.block([40]+[0x7FF8000000000000]*5); print('row2',hex(t.value()))
